// Files that are dropped or chosen as pictures, and what is said of those that are not added.

import { _ } from "./texts.js";

const ENDING = /\.(jpe?g|png|webp|hei[cf])$/i;
const PART = 0x8000; // bytes turned into text at once: more would be too many arguments

// The pictures among files, and the names of the others. Their content decides later; this is only the way to say it soon.
export function pictureFiles(files) {
  const isPicture = (file) => ENDING.test(file.name) || /^image\/(jpeg|png|webp|hei[cf])$/.test(file.type);
  return { pictures: files.filter(isPicture), others: files.filter((file) => !isPicture(file)).map((file) => file.name) };
}

// The name of a file without its folder.
export const pictureName = (file) => file.name.split(/[\\/]/).at(-1);

export async function base64Of(file) {
  const bytes = new Uint8Array(await file.arrayBuffer());
  let text = "";
  for (let at = 0; at < bytes.length; at += PART) text += String.fromCharCode(...bytes.subarray(at, at + PART));
  return btoa(text);
}

// What is told of a save that was refused.
export function refusals(answer) {
  if (answer.problems.length) return answer.problems.map(({ message }) => message);
  const lost = answer.lost ? [answer.lost] : [];
  const differing = answer.conflict.map(() => _("The page was changed elsewhere in the same place. It is shown as it is now; do it again if you still want it."));
  return [...new Set([...lost, ...differing])];
}

// The caption that a picture got elsewhere meanwhile; null if that is not what stopped a save.
export function otherCaption(answer) {
  const [clash] = answer.conflict.filter(({ field }) => field.startsWith("captions"));
  if (!clash) return null;
  return typeof clash.theirs === "string" ? clash.theirs : "";
}

// Gives `take` the files that are dropped on a card. `drop` is the place that shows that they may be let go.
export function takeDropped(card, drop, take) {
  const dragged = (event) => [...(event.dataTransfer?.types ?? [])].includes("Files");
  for (const kind of ["dragenter", "dragover"]) {
    card.addEventListener(kind, (event) => {
      if (!dragged(event)) return;
      event.preventDefault();
      drop.classList.add("over");
    });
  }
  card.addEventListener("dragleave", (event) => {
    if (!card.contains(event.relatedTarget)) drop.classList.remove("over");
  });
  card.addEventListener("drop", (event) => {
    if (!dragged(event)) return;
    event.preventDefault();
    drop.classList.remove("over");
    take([...event.dataTransfer.files]);
  });
}
