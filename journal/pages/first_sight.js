// Runs before marimo's scripts: asks for the first sight, shows it, and starts the frame when it is on the screen. The server
// writes values in the place of OF: the address of our modules, and the frame's style sheets, modules and first script.

(({ ours, styles, modules, entry }) => {
  const UNTIL = 1500; // ms that the first sight waits for the modules of its forms
  const AT_LATEST = 2500; // ms until the frame starts without a first sight
  const place = document.getElementById("first-sight");
  const root = document.getElementById("root");
  let started = false;

  const link = (rel, href) => Object.assign(document.createElement("link"), { rel, href, crossOrigin: "" });
  const start = () => {
    if (started) return;
    started = true;
    document.head.append(...styles.map((href) => link("stylesheet", href)), ...modules.map((href) => link("modulepreload", href)));
    document.head.append(Object.assign(document.createElement("script"), { type: "module", src: entry, crossOrigin: "" }));
  };

  // The page as the frame brings it, without a first sight.
  const giveUp = () => {
    document.documentElement.classList.remove("sighted");
    root.inert = false;
    place.remove();
    start();
  };

  const show = async () => {
    const loaded = import(ours);
    const asked = await fetch(`first-sight${location.search}`, { method: "POST" });
    if (asked.status !== 200) return giveUp();
    const sight = await asked.json();
    await Promise.race([loaded, new Promise((resolve) => setTimeout(resolve, UNTIL))]);
    if (root.querySelector(".marimo-cell .output")) return giveUp();
    place.inert = true; // to be read, until what is typed and pressed can be kept
    place.innerHTML = sight.html;
    const { begin, forms, speak, styles: ofForms } = await loaded;
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
