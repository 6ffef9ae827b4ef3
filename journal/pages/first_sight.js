// Asks for the first sight, shows it, and starts marimo's frame when it is on the screen and the server is listened to. The
// server writes the address of our modules in the place of OF.

(({ ours }) => {
  const UNTIL = 1500; // ms that the first sight waits for the modules of its forms
  const PATIENCE = 8000; // ms until the first sight is shown as text, because the modules still have not come
  const LOOK = 200; // ms between two looks whether the frame shows the page after all
  const AT_LATEST = 2500; // ms until the frame starts without a first sight
  const place = document.getElementById("first-sight");
  const root = document.getElementById("root");
  const isLost = () => document.documentElement.classList.contains("lost");
  let started = false;

  // The socket that closes when the server goes (`head.js`), for as long as the page is open: marimo opens its own only when its
  // scripts are loaded, and they would come from whoever has the port by then. Resolves with whether the server has answered.
  const listen = () => new Promise((resolve) => {
    const socket = new WebSocket(new URL("presence", location.href).href.replace("http", "ws"));
    socket.onopen = () => resolve(true);
    socket.onclose = () => resolve(false);
  });

  // Without a first sight and a frame, what the server says in its place is better than an empty page.
  const start = async () => {
    if (started) return;
    started = true;
    if (!await listen().catch(() => false)) return; // it has gone already, or is going
    const frame = Object.assign(document.createElement("script"), { src: `frame.js${location.search}` });
    frame.onerror = () => { if (!place.isConnected && !isLost()) location.replace(frame.src); };
    document.head.append(frame);
  };

  // The page as the frame brings it, without a first sight.
  const giveUp = () => {
    document.documentElement.classList.remove("sighted");
    root.inert = false;
    place.remove();
    start();
  };

  // The page as text, because our modules do not come. Should the frame come after all, it is shown.
  const readOnly = () => {
    place.inert = false;
    start();
    const timer = setInterval(() => {
      if (!root.querySelector(".marimo-cell .output")) return;
      clearInterval(timer);
      giveUp();
    }, LOOK);
  };

  const show = async () => {
    const loaded = import(ours).catch((error) => console.warn(error)); // nothing then
    const asked = await fetch(`first-sight${location.search}`, { method: "POST" });
    if (asked.status !== 200) return giveUp();
    const sight = await asked.json();
    await Promise.race([loaded, new Promise((resolve) => setTimeout(resolve, UNTIL))]);
    if (root.querySelector(".marimo-cell .output")) return giveUp();
    place.inert = true; // until what is typed and pressed can be kept
    place.innerHTML = sight.html;
    document.documentElement.lang = sight.language;
    const ourModules = await Promise.race([loaded, new Promise((resolve) => setTimeout(resolve, PATIENCE))]);
    if (!ourModules) return readOnly();
    const { begin, forms, speak, styles: ofForms } = ourModules;
    speak(sight.language);
    const [own, page] = ["style.first-sight", "style[title='marimo-custom']"].map((name) => document.querySelector(name).textContent);
    begin({ place, root, forms: sight.forms, modules: forms, styles: [own, page, ofForms] });
    return requestAnimationFrame(() => setTimeout(start));
  };

  document.documentElement.classList.add("sighted");
  root.inert = true;
  setTimeout(start, AT_LATEST);
  show().catch((error) => {
    console.warn(error);
    giveUp();
  });
})(OF);
