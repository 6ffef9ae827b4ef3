// Runs before marimo's scripts: asks for the first sight, shows it, and starts the frame when it is on the screen. The server
// writes values in the place of OF: the path of our modules, and the frame's style sheets, modules and first script.

(({ route, styles, modules, entry }) => {
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
    const takeover = import(`${route}/takeover.js`);
    const sheet = fetch(`${route}/forms.css`).then((answer) => answer.text());
    const asked = await fetch(`first-sight${location.search}`, { method: "POST" });
    if (asked.status !== 200) return giveUp();
    const { html, forms } = await asked.json();
    const names = Object.keys(forms);
    const loaded = Promise.all([takeover, sheet, ...names.map((name) => import(`${route}/${name}.js`))]);
    await Promise.race([loaded, new Promise((resolve) => setTimeout(resolve, UNTIL))]);
    if (root.querySelector(".marimo-cell .output")) return giveUp();
    place.inert = true; // to be read, until what is typed and pressed can be kept
    place.innerHTML = html;
    const [{ begin }, forms_css, ...found] = await loaded;
    const page = document.querySelector("style[title='marimo-custom']").textContent;
    const own = document.querySelector("style.first-sight").textContent;
    begin({
      place, root, forms, styles: [own, page, forms_css],
      modules: Object.fromEntries(found.map((module, index) => [names[index], module.default])),
    });
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
