// Runs in the head of every page, before marimo's scripts. The server writes values in the place of OF: the start of the
// server, the key that proves a server of this journal, the names of the window key and of a note that it was used, and the
// texts by language.

(({ start, proofKey, windowKey, renewed, texts }) => {
  // marimo registers a service worker for files that these pages do not have. It would stay in the browser for this
  // loopback address after the server ends.
  const never = new Promise(() => {});
  Object.defineProperty(navigator, "serviceWorker", { value: { ready: never, register: () => never } });
  // marimo puts choices into the address, but ignores the Back button between such addresses.
  addEventListener("popstate", () => location.reload());
  // A browser is not to offer a translation: the whole text would go to a translator elsewhere.
  document.documentElement.translate = false;

  const PROBES = [500, 1000, 2000, 4000]; // ms between questions; the last one repeats
  const SILENT_POLICY = "default-src 'none'; style-src 'unsafe-inline'; img-src data: blob:; connect-src 'self'";

  const RAN = /^\{\s*"op"\s*:\s*"completed-run"/;

  const NativeSocket = window.WebSocket;
  const nativeFetch = window.fetch.bind(window);
  let lost = false; // true, or "restarted" once another start has proved itself
  let leaving = false;
  let notice = null;
  addEventListener("pagehide", () => { leaving = true; });
  addEventListener("pageshow", () => { leaving = false; });

  const key = () => {
    try {
      return localStorage.getItem(windowKey) ?? "";
    } catch {
      return "";
    }
  };

  if (!key()) location.replace("/"); // storage was emptied: without the key nothing is answered, and "/" asks for the code
  else sessionStorage.removeItem(renewed);

  // Without the server, the next program that takes its port must get nothing: neither the path of this page nor its
  // cookie, and no text that is saved. So nothing is sent before a server has proved that it is of this journal.
  window.WebSocket = class extends NativeSocket {
    constructor(url, protocols = []) {
      if (lost) throw new Error("the journal does not answer");
      const address = new URL(url, location.href);
      address.searchParams.set("window", key());
      super(address, protocols);
      this.addEventListener("close", lose);
      this.addEventListener("message", ({ data }) => {
        // For the first sight (`browser/takeover.js`): the cells have run, those that can.
        if (typeof data === "string" && RAN.test(data)) document.documentElement.classList.add("ran");
      });
    }
  };
  window.fetch = async (resource, options) => {
    if (lost) throw new TypeError("the journal does not answer");
    const request = new Request(resource, options);
    if (request.method !== "GET") request.headers.set("Duskbook-Window", key());
    return nativeFetch(request);
  };

  // marimo shows pictures and another icon when its connection is lost, and may load a script. All of it would come from
  // whoever has the port, and the script would see what is typed. A policy can be added, but not be taken back.
  function lose() {
    if (lost || leaving) return;
    lost = true;
    document.documentElement.classList.add("lost"); // for those who would wait for an answer
    if (!document.querySelector("meta.silent")) {
      const policy = document.createElement("meta");
      policy.className = "silent";
      policy.httpEquiv = "Content-Security-Policy";
      policy.content = SILENT_POLICY;
      document.head.append(policy);
    }
    find(0);
  }

  // A link would lead to whoever has the port.
  addEventListener("click", (event) => {
    if (lost === true && event.composedPath().some((element) => element.localName === "a" && element.getAttribute("href"))) event.preventDefault();
  }, true);

  async function find(tried) {
    await new Promise((resolve) => setTimeout(resolve, PROBES[Math.min(tried, PROBES.length - 1)]));
    const found = await provenStart().catch(() => null);
    if (found) {
      // A new server does not know the tab, which stays silent until it is loaded again; but links lead to the journal.
      lost = found !== start ? "restarted" : false;
      document.documentElement.classList.toggle("lost", Boolean(lost));
      say(lost ? "restarted" : "broke");
    } else {
      if (tried > 0) say("ended");
      find(tried + 1);
    }
  }

  // The start of the server that answers, or null if it cannot prove that it is of this journal and at this port.
  async function provenStart() {
    const nonce = hex(crypto.getRandomValues(new Uint8Array(16)));
    const [found, proof] = (await answerTo(nonce)).slice(0, 200).split(" ");
    const algorithm = { name: "HMAC", hash: "SHA-256" };
    const bytes = Uint8Array.from(proofKey.match(/../g), (pair) => parseInt(pair, 16));
    const imported = await crypto.subtle.importKey("raw", bytes, algorithm, false, ["sign"]);
    const text = ["proof", location.port, found, nonce].join("\0");
    const expected = await crypto.subtle.sign("HMAC", imported, new TextEncoder().encode(text));
    return proof === hex(new Uint8Array(expected)) ? found : null;
  }

  // Asked over a websocket, since the browser keeps connections of fetch and would send later requests over them: also to a
  // program that has given up the port but not the connection.
  const answerTo = (nonce) => new Promise((resolve, reject) => {
    const socket = new NativeSocket(`ws://${location.host}/proof?nonce=${nonce}`);
    const end = () => {
      reject(new Error("no answer"));
      socket.close();
    };
    const timer = setTimeout(end, 3000);
    socket.onmessage = (event) => {
      resolve(String(event.data));
      socket.close();
    };
    socket.onclose = () => {
      clearTimeout(timer);
      end();
    };
  });

  const hex = (bytes) => Array.from(bytes, (byte) => byte.toString(16).padStart(2, "0")).join("");

  function say(name) {
    const text = (texts[document.documentElement.lang] ?? texts.en)[name];
    if (!notice) {
      notice = document.createElement("p");
      notice.className = "connection";
      notice.setAttribute("role", "alert");
      document.body.append(notice);
    }
    if (notice.textContent !== text) notice.textContent = text;
  }
})(OF);
