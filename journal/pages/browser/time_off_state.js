// A time off on a form: the values of its fields, and the values to send.

export function newTimeOff({ today }) {
  return { ref: null, first: today, until: today, habits: [], reason: "" };
}

export const typedTimeOff = (rest) => ({ from: rest.first, until: rest.until, habits: [...rest.habits], reason: rest.reason });

export function sentTimeOff(offer, rest, what, typed = null) {
  const sent = { base: offer.base, what, ref: rest.ref };
  return typed ? { ...sent, ...typed, reason: typed.reason.trim() } : sent;
}

// The habits to choose from: those offered, and those of the time off itself, which may have ended since.
export function habitChoices(offer, rest) {
  const known = offer.habits.map(({ key }) => key);
  return [...offer.habits, ...rest.habits.filter((key) => !known.includes(key)).map((key) => ({ key, name: key }))];
}

// No habit is the same as all of them.
export function toggledHabit(chosen, key) {
  if (key === null) return [];
  return chosen.includes(key) ? chosen.filter((other) => other !== key) : [...chosen, key];
}
