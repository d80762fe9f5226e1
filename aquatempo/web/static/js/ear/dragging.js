// Drag a handle sideways by whole counts, with mouse, pen or finger.

const SLACK = 4;                  // px; less is a tap

// hold(on): from press to release the handle must stay where it is.
export function dragCounts(handle, { width, most: [least, most], over, done, hold }) {
  let from = 0, counts = 0, moving = false, pointer = null;
  handle.style.touchAction = "none";
  handle.addEventListener("pointerdown", (event) => {
    if (event.button !== 0) return;
    pointer = event.pointerId;
    from = event.clientX;
    counts = 0;
    moving = false;
    handle.setPointerCapture(pointer);
    hold(true);
  });
  handle.addEventListener("pointermove", (event) => {
    if (event.pointerId !== pointer) return;
    const by = event.clientX - from;
    if (!moving && Math.abs(by) < SLACK) return;
    if (!moving) { moving = true; handle.classList.add("dragging"); }
    const now = Math.min(Math.max(Math.round(by / width()), least), most);
    if (now !== counts) { counts = now; over(counts); }
  });
  const end = (event, wanted) => {
    if (event.pointerId !== pointer) return;
    pointer = null;
    if (moving) {
      moving = false;
      handle.classList.remove("dragging");
      const moved = counts;
      over(0);
      if (wanted && moved) done(moved);
    }
    hold(false);
  };
  handle.addEventListener("pointerup", (event) => end(event, true));
  for (const lost of ["pointercancel", "lostpointercapture"]) handle.addEventListener(lost, (event) => end(event, false));
  // A drag is no click.
  handle.addEventListener("click", (event) => { if (counts) { event.stopPropagation(); counts = 0; } }, true);
}
