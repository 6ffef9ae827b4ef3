"""The pages that the guard shows itself: how to get in, what went wrong, the way from the exchange to the journal."""

from __future__ import annotations

import json

from journal.language.catalogue import N_, _
from journal.language.spoken import spoken
from journal.pages.entrance import ENTER
from journal.sections.escape import Html, entity

WINDOW_KEY = "duskbook window"
"""The name of the window key in the browser's localStorage."""

RENEWED = "duskbook renewed"
"""The name in sessionStorage of when the key was used. The page that it leads to removes it."""

NOT_HERE = (N_("This page is not for here"), N_("The journal answers only on this machine, to its own pages."))
NO_SUCH_PAGE = (N_("There is no such page"), N_("Go back to the page before."))
SIGN_IN = (
    N_("Open the journal from the command"),
    N_("Only the browser that the command opened is let in. Run the command again, or type the code that it printed."),
)
SPENT = (
    N_("This way in was used already"),
    N_("It lets one browser in, once. Run the command again, or type the code that it printed in the terminal."),
)
WRONG = (
    N_("That is not the code"),
    N_("Type the code that the command printed last in the terminal: 12 letters and digits."),
)

# A browser that is let in has a window key. Its cookie may be missing: it is not sent to "/", and a browser that has
# many cookies of this machine drops old ones. The session is then renewed with the key, and not tried again at once.
_RENEW = f"""
(() => {{
  try {{
    const key = localStorage.getItem("{WINDOW_KEY}");
    if (!key || Date.now() - (sessionStorage.getItem("{RENEWED}") || 0) < 10000) return;
    sessionStorage.setItem("{RENEWED}", Date.now());
    const body = new URLSearchParams({{ key, to: location.pathname + location.search }});
    fetch("{ENTER}", {{ method: "POST", body }}).then(async (answer) => {{
      if (answer.ok) location.replace(await answer.text());
      else localStorage.removeItem("{WINDOW_KEY}");
    }}).catch(() => {{}});
  }} catch {{
    // A browser without storage has no key.
  }}
}})();
"""

_STYLE = (
    ":root{color-scheme:light dark}body{margin:20vh auto;padding:0 1.5rem;max-width:32rem;"
    "font:1.05rem/1.6 system-ui,sans-serif;background:#FBF8F2;color:#23263B}h1{font:600 1.6rem/1.3 "
    "'Iowan Old Style','Palatino Linotype',Palatino,'Book Antiqua','DejaVu Serif',Georgia,serif}"
    "label{display:block;margin:1.5rem 0 .4rem}.row{display:flex;flex-wrap:wrap;gap:.6rem}input,button{font:inherit;"
    "color:inherit;padding:.45rem .7rem;border:1px solid #7C8196;border-radius:.4rem}input{width:11em;"
    "background:#FFFFFF;letter-spacing:.08em;text-transform:uppercase}button{background:#1F6F78;border-color:#1F6F78;"
    "color:#FFFFFF}:focus-visible{outline:3px solid #1F6F78;outline-offset:2px}a{color:#1F6F78}"
    "@media(prefers-color-scheme:dark){body{background:#1A1B2A;color:#ECE8DF}input{background:#232538}"
    "button{background:#6CC0C4;border-color:#6CC0C4;color:#14222A}:focus-visible{outline-color:#6CC0C4}"
    "a{color:#6CC0C4}}"
)


def message(title: str, text: str) -> Html:
    """A page of its own with a heading and a paragraph, two texts of the catalogue."""
    return _page(_(title), f"<p>{entity(_(text))}</p>")


def sign_in(title: str, text: str, to: str, *, renew: bool = False) -> Html:
    """A page that asks for the code. `to` is the address that it was asked for instead.

    With `renew`, a browser that is let in already gets there by itself.
    """
    label, button = entity(_("The code in the terminal")), entity(_("Open the journal"))
    form = (
        f'<form method="post" action="{ENTER}"><input type="hidden" name="to" value="{entity(to)}">'
        f'<label for="code">{label}</label>'
        '<div class="row"><input id="code" name="code" autocomplete="off" autocapitalize="characters" '
        'spellcheck="false" required maxlength="24" placeholder="XXXX-XXXX-XXXX">'
        f"<button>{button}</button></div></form>"
    )
    script = f"<script>{_RENEW}</script>" if renew else ""
    return _page(_(title), f"<p>{entity(_(text))}</p>{form}{script}")


def entered(address: str, window_key: str) -> Html:
    """The page after the exchange. It keeps the window key, and goes on to the journal, so that history keeps the
    journal's address only.
    """
    to, key = (json.dumps(text).replace("<", "\\u003c") for text in (address, window_key))
    script = f'try {{ localStorage.setItem("{WINDOW_KEY}", {key}); }} catch {{}} location.replace({to});'
    needed, opened = entity(_("The pages need scripts.")), entity(_("Open the journal"))
    go_on = (
        f'<p>{needed} <a href="{entity(address)}">{opened}</a></p>'
        f'<noscript><meta http-equiv="refresh" content="0;url={entity(address)}"></noscript>'
    )
    return _page(_("Opening the journal"), f"{go_on}<script>{script}</script>")


def _page(title: str, body: str) -> Html:
    return Html(
        f'<!doctype html><html lang="{spoken().code}"><meta charset="utf-8">'
        '<meta name="viewport" content="width=device-width">'
        f"<title>{entity(title)}</title><style>{_STYLE}</style><main><h1>{entity(title)}</h1>{body}</main></html>"
    )
