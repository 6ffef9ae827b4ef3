"""Pictures with a token planted in every place where a file can say where and when it was taken, and more.

A token is ten letters and digits. Where the format has numbers, such as the fractions of a position, its bytes are the
number. Sources: EXIF 3.0, XMP part 3 (extended XMP), IPTC IIM 4.2, CIPA DC-007 (MPF), PNG third edition, RFC 9649.
"""

from __future__ import annotations

import io
import random
import string
import struct
import zipfile
import zlib
from collections.abc import Callable

from PIL import Image, ImageCms

from tests.pictures.drawn import bench, encoded

Plant = Callable[[random.Random, str], tuple[str, bytes]]
"""Function from random numbers and a token to the name and the bytes of a file."""

PLANTS: dict[str, Plant] = {}


def plant(function: Plant) -> Plant:
    PLANTS[function.__name__] = function
    return function


def token(draws: random.Random, letters: str = string.ascii_uppercase) -> str:
    """A new token. It begins like a number of a position, and no other text has it by chance."""
    return "46" + "".join(draws.choices(letters + string.digits, k=8))


def small(draws: random.Random, kind: str = "JPEG", mode: str = "RGB", **options: object) -> bytes:
    return encoded(bench(draws.randrange(1000), 64, 48, mode), kind, **options)


def tiff(order: str, entries: dict[int, tuple[int, bytes]], sub: dict[int, dict[int, tuple[int, bytes]]]) -> bytes:
    """An EXIF block (TIFF 6.0): a directory with entries of a type and bytes, and directories below it by their tag."""
    sizes = {1: 1, 2: 1, 3: 2, 4: 4, 5: 8, 7: 1}

    def directory(at: int, entries: dict[int, tuple[int, bytes]], below: dict[int, int]) -> bytes:
        every = dict(sorted({**{t: (4, struct.pack(order + "I", p)) for t, p in below.items()}, **entries}.items()))
        rows, extra, behind = b"", b"", at + 2 + 12 * len(every) + 4
        for tag, (kind, data) in every.items():
            count = len(data) // sizes[kind]
            if len(data) <= 4:
                value = data.ljust(4, b"\0")
            else:
                value = struct.pack(order + "I", behind + len(extra))
                extra += data + b"\0" * (len(data) % 2)
            rows += struct.pack(order + "HHI", tag, kind, count) + value
        return struct.pack(order + "H", len(every)) + rows + bytes(4) + extra

    head = (b"II*\0" if order == "<" else b"MM\0*") + struct.pack(order + "I", 8)
    first = directory(8, entries, dict.fromkeys(sub, 0))
    at, places, blocks = 8 + len(first), {}, b""
    for tag, inside in sub.items():
        places[tag] = at + len(blocks)
        blocks += directory(at + len(blocks), inside, {})
    return head + directory(8, entries, places) + blocks


def position(draws: random.Random, secret: str, turned: int = 1) -> bytes:
    """EXIF with a position whose seconds are the token, a time that is the token, and which way up the picture is."""
    order = draws.choice("<>")
    raw = secret.encode()
    gps = {1: (2, b"N\0"), 2: (5, struct.pack(order + "IIII", 46, 1, 3, 1) + raw[:8]), 29: (2, raw + b"\0")}
    exif = {0x9003: (2, raw + b"\0"), 0x927C: (7, b"NOTE" + raw * 3), 0x9286: (7, b"ASCII\0\0\0" + raw)}
    top = {0x010F: (2, raw + b"\0"), 0x0112: (3, struct.pack(order + "H", turned))}
    return b"Exif\0\0" + tiff(order, top, {0x8769: exif, 0x8825: gps})


def with_segment(data: bytes, marker: int, content: bytes) -> bytes:
    return data[:2] + struct.pack(">BBH", 0xFF, marker, len(content) + 2) + content + data[2:]


def packet(secret: str) -> bytes:
    place = f'a="{secret}" exif:GPSLatitude="46,3.{secret}N"'
    return f'<x:xmpmeta xmlns:x="adobe:ns:meta/"><p {place}/></x:xmpmeta>'.encode()


@plant
def exif(draws: random.Random, secret: str) -> tuple[str, bytes]:
    return "a.jpg", with_segment(small(draws), 0xE1, position(draws, secret))


@plant
def exif_of_a_turned_picture(draws: random.Random, secret: str) -> tuple[str, bytes]:
    return "a.jpg", with_segment(small(draws), 0xE1, position(draws, secret, draws.randint(2, 8)))


@plant
def exif_of_a_picture_for_print(draws: random.Random, secret: str) -> tuple[str, bytes]:
    return "a.jpg", with_segment(small(draws, mode="CMYK"), 0xE1, position(draws, secret, draws.randint(1, 8)))


@plant
def thumbnail(draws: random.Random, secret: str) -> tuple[str, bytes]:
    inner = with_segment(small(draws), 0xE1, position(draws, secret))
    return "a.jpg", with_segment(small(draws), 0xE1, position(draws, secret) + inner)


@plant
def jfif_thumbnail(draws: random.Random, secret: str) -> tuple[str, bytes]:
    whole = small(draws)
    rest = whole[4 + int.from_bytes(whole[4:6], "big") :]
    head = b"JFIF\0\1\2\1\0\x48\0\x48\2\2" + (secret.encode() + b"..")[:12]
    extension = b"JFXX\0\x10" + secret.encode()
    return "a.jpg", with_segment(with_segment(b"\xff\xd8" + rest, 0xE0, extension), 0xE0, head)


@plant
def xmp(draws: random.Random, secret: str) -> tuple[str, bytes]:
    return "a.jpg", with_segment(small(draws), 0xE1, b"http://ns.adobe.com/xap/1.0/\0" + packet(secret))


@plant
def extended_xmp(draws: random.Random, secret: str) -> tuple[str, bytes]:
    content = packet(secret) * draws.randint(1, 40)
    head = b"http://ns.adobe.com/xmp/extension/\0" + b"0" * 32 + struct.pack(">II", len(content), 0)
    whole = with_segment(small(draws), 0xE1, head + content)
    return "a.jpg", with_segment(whole, 0xE1, b"http://ns.adobe.com/xap/1.0/\0" + packet(secret))


@plant
def iptc(draws: random.Random, secret: str) -> tuple[str, bytes]:
    raw = secret.encode()
    records = b"".join(struct.pack(">BBBH", 0x1C, 2, number, len(raw)) + raw for number in (55, 60, 90, 101, 120))
    resource = b"8BIM\x04\x04\0\0" + struct.pack(">I", len(records)) + records
    return "a.jpg", with_segment(small(draws), 0xED, b"Photoshop 3.0\0" + resource)


@plant
def comments(draws: random.Random, secret: str) -> tuple[str, bytes]:
    whole = small(draws, progressive=True)
    for _ in range(draws.randint(1, 4)):
        whole = with_segment(whole, 0xFE, secret.encode())
    return "a.jpeg", whole


@plant
def comment_before_a_scan(draws: random.Random, secret: str) -> tuple[str, bytes]:
    whole = small(draws, progressive=True)
    at = whole.index(b"\xff\xda", whole.index(b"\xff\xda") + 2)
    return "a.jpg", whole[:at] + with_segment(b"", 0xFE, secret.encode()) + whole[at:]


@plant
def second_picture(draws: random.Random, secret: str) -> tuple[str, bytes]:
    first, second = (bench(draws.randrange(1000), 64, 48) for _ in range(2))
    file = io.BytesIO()
    first.save(file, "MPO", save_all=True, append_images=[second], exif=position(draws, secret))
    inner = with_segment(small(draws), 0xE1, position(draws, secret))
    return "a.jpg", file.getvalue() + inner


@plant
def trailer(draws: random.Random, secret: str) -> tuple[str, bytes]:
    film = b"\0\0\0\x18ftypmp42" + secret.encode() * draws.randint(1, 500)
    return "a.jpg", small(draws) + film


@plant
def archive_behind(draws: random.Random, secret: str) -> tuple[str, bytes]:
    file = io.BytesIO()
    with zipfile.ZipFile(file, "w") as archive:
        archive.writestr(f"{secret}.txt", secret)
    return "a.jpg", small(draws) + file.getvalue()


@plant
def unknown_segments(draws: random.Random, secret: str) -> tuple[str, bytes]:
    whole = small(draws)
    for marker in draws.sample([0xE3, 0xE4, 0xE8, 0xEB, 0xEC, 0xEF], 3):
        whole = with_segment(whole, marker, secret.encode() * 3)
    return "a.jpg", with_segment(whole, 0xEE, b"Adobe\0\x64\0\0\0\0\1" + secret.encode())


@plant
def behind_a_table(draws: random.Random, secret: str) -> tuple[str, bytes]:
    return "a.jpg", with_segment(small(draws), 0xDD, b"\0\0" + secret.encode())


@plant
def between_segments(draws: random.Random, secret: str) -> tuple[str, bytes]:
    whole = small(draws)
    at = whole.index(b"\xff\xdb")
    return "a.jpg", whole[:at] + b"\xff" * 5 + whole[at:] + secret.encode()


def profile(secret: str) -> bytes:
    """A profile of sRGB whose description, copyright, date, maker and device are the token."""
    plain = bytearray(ImageCms.ImageCmsProfile(ImageCms.createProfile("sRGB")).tobytes())
    raw = secret.encode()
    plain[4:8], plain[24:36], plain[48:56] = raw[:4], (raw + raw)[:12], raw[:8]
    (count,) = struct.unpack_from(">I", plain, 128)
    shift = 12
    table = b"".join(
        struct.pack(">4sII", name, at + shift, size)
        for name, at, size in struct.iter_unpack(">4sII", bytes(plain[132 : 132 + 12 * count]))
    )
    own = b"text\0\0\0\0" + raw + b"\0\0"
    rest = bytes(plain[132 + 12 * count :])
    entry = struct.pack(">4sII", b"meas", 132 + 12 * (count + 1) + len(rest), len(own))
    whole = bytes(plain[:128]) + struct.pack(">I", count + 1) + table + entry + rest + own
    return struct.pack(">I", len(whole)) + whole[4:]


@plant
def words_of_a_profile(draws: random.Random, secret: str) -> tuple[str, bytes]:
    kind = draws.choice(["JPEG", "PNG", "WEBP"])
    ending = {"JPEG": "jpg", "PNG": "png", "WEBP": "webp"}[kind]
    return f"a.{ending}", small(draws, kind, icc_profile=profile(secret))


@plant
def unusual_profile(draws: random.Random, secret: str) -> tuple[str, bytes]:
    content = b"ICC_PROFILE\0\1\1" + profile(secret).replace(b"rTRC", b"A2B0")
    return "a.jpg", with_segment(small(draws), 0xE2, content)


def png_chunk(name: bytes, data: bytes) -> bytes:
    return struct.pack(">I", len(data)) + name + data + struct.pack(">I", zlib.crc32(name + data))


def with_chunk(whole: bytes, name: bytes, content: bytes, before: bytes = b"IDAT") -> bytes:
    at = whole.index(before) - 4
    return whole[:at] + png_chunk(name, content) + whole[at:]


@plant
def texts_of_a_png(draws: random.Random, secret: str) -> tuple[str, bytes]:
    raw = secret.encode()
    whole = with_chunk(small(draws, "PNG"), b"tEXt", b"Comment\0" + raw)
    whole = with_chunk(whole, b"zTXt", b"Location\0\0" + zlib.compress(raw))
    whole = with_chunk(whole, b"iTXt", b"XML:com.adobe.xmp\0\0\0\0\0" + packet(secret))
    return "a.png", with_chunk(whole, b"tEXt", raw + b"\0behind", before=b"IEND")


@plant
def exif_of_a_png(draws: random.Random, secret: str) -> tuple[str, bytes]:
    turned = draws.choice([1, 1, 6])
    return "a.png", with_chunk(small(draws, "PNG"), b"eXIf", position(draws, secret, turned)[6:])


@plant
def chunks_of_a_png(draws: random.Random, secret: str) -> tuple[str, bytes]:
    raw = secret.encode()
    whole = with_chunk(small(draws, "PNG", draws.choice(["RGB", "P", "L"])), b"tIME", raw[:7])
    whole = with_chunk(with_chunk(whole, b"prIv", raw), b"sPLT", raw + b"\0\x08")
    return "a.png", with_chunk(whole, b"prIv", raw, before=b"IEND") + raw


@plant
def moving_png(draws: random.Random, secret: str) -> tuple[str, bytes]:
    frames = [bench(draws.randrange(1000), 64, 48) for _ in range(2)]
    whole = encoded(frames[0], "PNG", save_all=True, append_images=frames[1:])
    return "a.png", with_chunk(whole, b"tEXt", b"Comment\0" + secret.encode(), before=b"fdAT")


@plant
def behind_the_pixels_of_a_png(draws: random.Random, secret: str) -> tuple[str, bytes]:
    whole = small(draws, "PNG")
    at = whole.index(b"IDAT")
    (size,) = struct.unpack_from(">I", whole, at - 4)
    pixels = whole[at + 4 : at + 4 + size]
    more = zlib.decompress(pixels) + secret.encode() * 9
    content = pixels + secret.encode() if draws.random() < 0.5 else zlib.compress(more)
    return "a.png", whole[: at - 4] + png_chunk(b"IDAT", content) + whole[at + 8 + size :]


@plant
def chunks_of_a_webp(draws: random.Random, secret: str) -> tuple[str, bytes]:
    lossless = draws.random() < 0.5
    exif_data, xmp_data = position(draws, secret, draws.choice([1, 1, 8])), packet(secret)
    whole = small(draws, "WEBP", draws.choice(["RGB", "RGBA"]), lossless=lossless, exif=exif_data, xmp=xmp_data)
    raw = secret.encode()
    more = b"priv" + struct.pack("<I", len(raw)) + raw
    body = whole[8:] + more
    return "a.webp", b"RIFF" + struct.pack("<I", len(body)) + body + raw


@plant
def moving_webp(draws: random.Random, secret: str) -> tuple[str, bytes]:
    frames = [bench(draws.randrange(1000), 64, 48) for _ in range(2)]
    data = encoded(frames[0], "WEBP", save_all=True, append_images=frames[1:], xmp=packet(secret))
    return "a.webp", data


@plant
def its_name(draws: random.Random, secret: str) -> tuple[str, bytes]:
    shape = draws.choice(["IMG_{}_184502", "{}", "2025-03-11 18.45.02 {}", "46.0512N 14.5058E {}", "DSC{}"])
    return f"{shape.format(secret)}.jpg", small(draws)


def planted(draws: random.Random, number: int) -> tuple[str, str, str, bytes]:
    """The kind of a case, its token, and the name and bytes of its file. Every kind comes in turn."""
    kind = list(PLANTS)[number % len(PLANTS)]
    secret = token(draws, "" if kind == "its_name" else string.ascii_uppercase)
    return kind, secret, *PLANTS[kind](draws, secret)


def opens(data: bytes) -> Image.Image:
    """The picture in a file, as another program reads it."""
    picture = Image.open(io.BytesIO(data))
    picture.load()
    return picture
