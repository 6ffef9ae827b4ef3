// What was read of sheets so far, as the journal gets it back, and the answers to what is not clear.

import { _, _n } from "./texts.js";

export const ACCEPTED = "image/jpeg,image/png,image/heic,image/heif,application/pdf,.jpg,.jpeg,.png,.heic,.heif,.pdf";
export const MOST_FILES = 20;
export const MOST_BYTES = 60000000;

const ENDING = /\.(jpe?g|png|hei[cf]|pdf)$/i;

// The files that may be sheets, and a sentence for each other one.
export function sheetFiles(files) {
  const told = [];
  const chosen = files.filter((file) => {
    const isKnown = ENDING.test(file.name) || /^(image\/(jpeg|png|hei[cf])|application\/pdf)$/.test(file.type);
    if (!isKnown) told.push(_("{name} is no picture in JPEG, PNG or HEIC, and no scan as PDF.", { name: file.name }));
    else if (file.size > MOST_BYTES) told.push(_("{name} has more than {count} MB; make it smaller first.", { name: file.name, count: MOST_BYTES / 1e6 }));
    return isKnown && file.size <= MOST_BYTES;
  });
  if (chosen.length > MOST_FILES) told.push(_("At most {count} files are read at once; the others are left out.", { count: MOST_FILES }));
  return { chosen: chosen.slice(0, MOST_FILES), told };
}

// The parameters of a request: all that was read, and the answers to the fields that are asked.
export function sent(photographs, answers) {
  const given = Object.entries(answers).filter(([, text]) => text.trim());
  return { read: photographs.map(({ read }) => read), answers: Object.fromEntries(given) };
}

export function cropOf(photographs, key) {
  return photographs.map(({ crops }) => crops[key]).find(Boolean) ?? null;
}

// What the button to save says.
export function saveWords({ pages, asked, lines }) {
  if (pages) return _n("Write {count} page", "Write {count} pages", pages);
  if (asked) return _("Write the answers");
  return lines ? _("Keep the lines") : _("Nothing to write");
}
