// Texts in the language of the page. The English text stands in the code, as in Python (journal/language/catalogue.py).
//
//   _("Nothing is due.")
//   _("{name}, done on", { name })
//   _n("{count} mark is not saved yet.", "{count} marks are not saved yet.", count)
//   _p("of a task", "open")                   // a context, where one English word is two in another language

import { first, languages } from "./language.js";

let spoken = languages[first] ?? languages.en;

// The language from here on: once, before anything is shown.
export function speak(code) {
  spoken = languages[code] ?? languages.en;
}

export const language = () => spoken;

export function _(text, values) {
  return filled(spoken.texts[text] ?? text, values);
}

export function _p(context, text, values) {
  return filled(spoken.texts[`${context}\u0004${text}`] ?? text, values);
}

// `values` may give `count` as it is to be shown.
export function _n(one, many, count, values = {}) {
  const forms = spoken.texts[one];
  const text = forms ? forms[new Intl.PluralRules(spoken.code).select(count)] : count === 1 ? one : many;
  return filled(text, { count: numberText(count), ...values });
}

// The text itself, marked for the catalogues; `_` looks it up where it is shown.
export const N_ = (text) => text;

// A label inside of a sentence: in small letters, but for languages whose nouns have capital ones.
export const inSentence = (label) => (spoken.nounsCapital ? label : label.toLowerCase());

// A number with the decimal sign of the language, as it can be typed again.
export const numberText = (value) => String(value).replace(".", spoken.decimal);

export const filled = (text, values) => (values ? text.replace(/\{(\w+)\}/g, (field, name) => (name in values ? String(values[name]) : field)) : text);
