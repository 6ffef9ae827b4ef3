// Asks for the first sight, shows it, and starts marimo's frame when it is on the screen. The server writes the address of our
// modules in the place of OF.

(({ ours }) => {
  const UNTIL = 1500; // ms that the first sight waits for the modules of its forms
  const PATIENCE = 8000; // ms until the first sight is shown as text, because the modules still have not come
  const LOOK = 200; // ms between two looks whether the frame shows the page after all
  const AT_LATEST = 2500; // ms until the frame starts without a first sight
  const place = document.getElementById("first-sight");
  const root = document.getElementById("root");
  let started = false;

  // Without a first sight and a frame, what the server says in its place is better than an empty page.
  const start = () => {
    if (started) return;
    started = true;
    const frame = Object.assign(document.createElement("script"), { src: `frame.js${location.search}` });
    frame.onerror = () => { if (!place.isConnected) location.replace(frame.src); };
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
