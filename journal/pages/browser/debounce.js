// A question that follows what is typed: it is asked once nothing was typed for a moment, and only the answer to the
// latest one counts, in whatever order the answers come.

export const PAUSE = 250; // ms after the last key before it is asked anew

// `ask` resolves with an answer or nothing; `show` gets the answer to the latest question. Returns what is called at
// each change. `later` and `never` set and stop a timer.
export function debounceRequest(ask, show, later = (work) => setTimeout(work, PAUSE), never = (timer) => clearTimeout(timer)) {
  let timer = null;
  let round = 0;
  return () => {
    never(timer);
    timer = later(async () => {
      round += 1;
      const mine = round;
      const answer = await ask();
      if (answer && mine === round) show(answer);
    });
  };
}
