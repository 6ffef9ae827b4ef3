// The two storages of the browser, opened once a page with the key that the journal's server gives. Without our server, as
// in Jupyter, there is no key, and values last as long as the page.

import { keptValues } from "./kept_values.js";

const secret = fetchSecret().catch(() => null);
const opened = async (name) => keptValues(storageOf(name), await secret);

// Of this window, until it is closed: drafts, and edits to undo.
export const windowValues = opened("sessionStorage");

// Of the browser, from visit to visit: which chapters are open.
export const lastingValues = opened("localStorage");

async function fetchSecret() {
  if (import.meta.url.startsWith("blob:")) return null;
  const answer = await fetch(new URL("../../drafts-key", import.meta.url), { method: "POST", cache: "no-store" });
  const key = answer.ok ? await answer.text() : "";
  return /^[0-9a-f]{64}$/.test(key) ? Uint8Array.from(key.match(/../g), (pair) => parseInt(pair, 16)) : null;
}

function storageOf(name) {
  try {
    return globalThis[name] ?? null;
  } catch {
    return null; // refused by the browser's settings
  }
}
