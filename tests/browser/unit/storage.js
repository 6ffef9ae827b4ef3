// Replaces the window's storage by one in memory while `work` runs. Its keys are sorted.
export function withStorage(work, broken = {}) {
  const kept = new Map();
  const storage = new Proxy({}, { ownKeys: () => [...kept.keys()].sort(), getOwnPropertyDescriptor: () => ({ enumerable: true, configurable: true }), get: (_, name) => methods[name] ?? broken[name] });
  const methods = {
    getItem: (key) => kept.get(key) ?? null,
    setItem: (key, value) => kept.set(key, String(value)),
    removeItem: (key) => kept.delete(key),
    key: (at) => [...kept.keys()].sort()[at] ?? null,
    get length() { return kept.size; },
    ...broken,
  };
  const real = Object.getOwnPropertyDescriptor(globalThis, "sessionStorage");
  Object.defineProperty(globalThis, "sessionStorage", { value: storage, configurable: true });
  try {
    work(kept);
  } finally {
    if (real) Object.defineProperty(globalThis, "sessionStorage", real);
    else delete globalThis.sessionStorage;
  }
}
