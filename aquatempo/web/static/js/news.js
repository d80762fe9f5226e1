// What changed on the machine, as it happens. Others say what they want to hear of.

const listeners = new Map();      // kind of news -> functions
let lost = false;

export function hear(kind, act) {
  if (!listeners.has(kind)) listeners.set(kind, new Set());
  listeners.get(kind).add(act);
  return () => listeners.get(kind).delete(act);
}

export function startNews() {
  const stream = new EventSource("/api/news");
  for (const kind of ["hello", "music", "track", "settings", "water", "plan", "job", "choices", "made", "end"])
    stream.addEventListener(kind, (event) => tell(kind, JSON.parse(event.data)));
  stream.onerror = () => {
    if (!lost) { lost = true; tell("lost", {}); }
    // A browser gives up for good when it is refused; a program that was started again may take us back.
    if (stream.readyState === EventSource.CLOSED) setTimeout(() => { stream.close(); startNews(); }, 2000);
  };
  hear("hello", () => { if (lost) { lost = false; tell("back", {}); } });
}

function tell(kind, facts) {
  for (const act of listeners.get(kind) || []) act(facts);
}
