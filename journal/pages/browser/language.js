// The languages of the pages. The journal puts the others and their texts in the place of this module
// (journal/pages/browser_languages.py); English is the text of the code.

export const languages = {
  en: {
    code: "en", decimal: ".", group: ",", dayNumber: "{day}", date: "{day} {month}", monthYear: "{month} {year}", shortWeekday: 3, nounsCapital: false,
    months: ["January", "February", "March", "April", "May", "June", "July", "August", "September", "October", "November", "December"],
    weekdays: ["Monday", "Tuesday", "Wednesday", "Thursday", "Friday", "Saturday", "Sunday"],
    texts: {},
  },
};

// What a page speaks that has not been told.
export const first = "en";
