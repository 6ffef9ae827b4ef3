// The browser asks before it leaves a page on which something is typed and not saved.

// `isUnsaved()` says whether there is. Returns the function that ends it.
export function askBeforeLeaving(isUnsaved) {
  const leaving = (event) => {
    if (isUnsaved()) event.preventDefault();
  };
  window.addEventListener("beforeunload", leaving);
  return () => window.removeEventListener("beforeunload", leaving);
}
