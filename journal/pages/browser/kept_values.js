// Values that the browser keeps for a journal, encrypted: its storage lasts in the browser's profile, and whoever has
// the port next may read it. Names are hidden as well, since they hold dates.

const MARK = "duskbook ";
const NONCE_BYTES = 12; // as NIST SP 800-38D recommends for GCM
const text = new TextEncoder();

// `secret` are the bytes of the key that only the journal's server gives. Without it, or without a storage, values last as
// long as the page. They are read and written at once; what is stored follows within milliseconds.
export async function keptValues(storage, secret) {
  const texts = new Map(); // the values as JSON, by name
  const cipher = storage && secret ? await openCipher(secret) : null;
  const places = new Map(); // where the values are stored, by name
  const waiting = new Set(); // names that are to be stored or removed
  let last = Promise.resolve();

  const store = async (name) => {
    const place = places.get(name) ?? (await cipher.placeOf(name));
    waiting.delete(name);
    const value = texts.get(name);
    const sealed = value === undefined ? null : await cipher.seal(JSON.stringify([name, value]));
    if (texts.get(name) !== value) return; // it has changed meanwhile, and is waiting again
    if (sealed === null) storage.removeItem(place);
    else storage.setItem(place, sealed);
    if (sealed === null) places.delete(name);
    else places.set(name, place);
  };
  // What was cleared from the browser's storage is gone here too.
  const isCleared = (name) => !waiting.has(name) && places.has(name) && storage.getItem(places.get(name)) === null;
  const forgetCleared = () => {
    for (const name of texts.keys()) if (isCleared(name)) texts.delete(name);
  };
  const later = (name) => {
    if (!cipher || waiting.has(name)) return;
    waiting.add(name);
    last = last.then(() => store(name)).catch(() => {}); // a full storage: the warning before leaving still works
  };

  if (cipher) {
    for (const place of Object.keys(storage).filter((key) => key.startsWith(MARK))) {
      const opened = await cipher.open(storage.getItem(place)).catch(() => null); // null: of another journal at this port
      if (!opened) continue;
      const [name, value] = JSON.parse(opened);
      texts.set(name, value);
      places.set(name, place);
    }
  }
  return {
    get(name) {
      forgetCleared();
      return texts.has(name) ? JSON.parse(texts.get(name)) : null;
    },
    set(name, value) {
      texts.set(name, JSON.stringify(value));
      later(name);
    },
    remove(name) {
      if (texts.delete(name)) later(name);
    },
    names() {
      forgetCleared();
      return [...texts.keys()];
    },
    stored: () => last,
  };
}

// AES-GCM for the values and HMAC for the names, each with a key of its own (HKDF, RFC 5869).
async function openCipher(secret) {
  const { subtle } = globalThis.crypto;
  const base = await subtle.importKey("raw", secret, "HKDF", false, ["deriveKey"]);
  const derive = (purpose, algorithm, uses) => subtle.deriveKey({ name: "HKDF", hash: "SHA-256", salt: new Uint8Array(), info: text.encode(purpose) }, base, algorithm, false, uses);
  const values = await derive("values", { name: "AES-GCM", length: 256 }, ["encrypt", "decrypt"]);
  const names = await derive("names", { name: "HMAC", hash: "SHA-256", length: 256 }, ["sign"]);
  return {
    placeOf: async (name) => MARK + toBase64(new Uint8Array(await subtle.sign("HMAC", names, text.encode(name))).slice(0, 18)),
    async seal(value) {
      const nonce = crypto.getRandomValues(new Uint8Array(NONCE_BYTES));
      const sealed = new Uint8Array(await subtle.encrypt({ name: "AES-GCM", iv: nonce }, values, text.encode(value)));
      return toBase64(new Uint8Array([...nonce, ...sealed]));
    },
    async open(stored) {
      const bytes = Uint8Array.from(atob(stored), (character) => character.charCodeAt(0));
      const opened = await subtle.decrypt({ name: "AES-GCM", iv: bytes.slice(0, NONCE_BYTES) }, values, bytes.slice(NONCE_BYTES));
      return new TextDecoder().decode(opened);
    },
  };
}

function toBase64(bytes) {
  const CHUNK = 8192; // the arguments of one call
  let characters = "";
  for (let i = 0; i < bytes.length; i += CHUNK) characters += String.fromCharCode(...bytes.subarray(i, i + CHUNK));
  return btoa(characters);
}
