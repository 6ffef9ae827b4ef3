// Runs once the first sight is on the screen, after the scripts of marimo's HTML: adds its frame to the page. The server writes
// values in the place of OF: marimo's elements that hold values, its style sheets, modules and first script, and the title and
// style sheet of the notebook where they are not those of the page.

(({ elements, title, style, styles, modules, entry }) => {
  const link = (rel, href) => Object.assign(document.createElement("link"), { rel, href, crossOrigin: "" });
  if (title) document.title = title;
  if (style) document.querySelector("style[title='marimo-custom']").textContent = style;
  document.body.insertAdjacentHTML("beforeend", elements);
  document.head.append(...styles.map((href) => link("stylesheet", href)), ...modules.map((href) => link("modulepreload", href)));
  document.head.append(Object.assign(document.createElement("script"), { type: "module", src: entry, crossOrigin: "" }));
})(OF);
