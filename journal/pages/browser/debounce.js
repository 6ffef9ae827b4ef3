// A debounced request: sent after a pause in typing. Only the answer to the latest request is used, in whatever order
// answers arrive.

export const PAUSE = 250; // ms after the last change before the request is sent

// `ask` resolves with an answer or nothing; `show` gets the answer to the latest request. Returns the function to call at
// each change. `later` starts a timer and `never` stops it.
export function debounceRequest(ask, show, later = (work) => setTimeout(work, PAUSE), never = (timer) => clearTimeout(timer)) {
  let timer = null;
  let round = 0;
  return () => {
    never(timer);
    timer = later(async () => {
      round += 1;
      const current = round;
      const answer = await ask();
      if (answer && current === round) show(answer);
    });
  };
}
