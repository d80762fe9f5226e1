// One lane on canvas: the surface of the sound, the counts under it, what kind of stretch it is.

const TOP = 5, FLOOR = 9;         // room above the sound, and for the counts [px]

// colours: read from the page, so that day, dark and contrast hold here too.
export function coloursOf(element) {
  const style = getComputedStyle(element);
  const names = { sheet: "--sheet", well: "--well", line: "--line", rim: "--rim", ink: "--ink", water: "--water", shallow: "--shallow", rope: "--rope" };
  return Object.fromEntries(Object.entries(names).map(([name, variable]) => [name, style.getPropertyValue(variable).trim()]));
}

// Draw a lane of lane.counts counts, each so many px wide.
export function drawLane(canvas, model, lane, countWidth, height, colours) {
  const width = lane.counts * countWidth, scale = devicePixelRatio || 1;
  canvas.width = Math.round(width * scale);
  canvas.height = Math.round(height * scale);
  canvas.style.width = `${width}px`;
  canvas.style.height = `${height}px`;
  const pen = canvas.getContext("2d");
  pen.scale(scale, scale);
  ground(pen, lane, countWidth, width, height, colours);
  sound(pen, model, lane, countWidth, width, height, colours);
  counts(pen, model, lane, countWidth, height, colours);
}

function ground(pen, lane, countWidth, width, height, colours) {
  const whole = lane.phrase.kind === "phrase";
  pen.fillStyle = whole ? colours.sheet : colours.well;
  pen.fillRect(0, 0, width, height);
  if (whole) {
    pen.fillStyle = colours.shallow;
    pen.globalAlpha = 0.55;
    for (let count = lane.offset % 16 === 0 ? 8 : 0; count < lane.counts; count += 16)
      pen.fillRect(count * countWidth, 0, Math.min(8, lane.counts - count) * countWidth, height);
    pen.globalAlpha = 1;
  } else hatch(pen, lane.phrase.kind, width, height, colours);
}

// A bridge is hatched, a break dotted: no colour needed to tell them.
function hatch(pen, kind, width, height, colours) {
  pen.save();
  pen.beginPath();
  pen.rect(0, 0, width, height);
  pen.clip();
  pen.strokeStyle = pen.fillStyle = colours.rim;
  pen.globalAlpha = 0.55;
  pen.lineWidth = 1.5;
  if (kind === "bridge") {
    pen.beginPath();
    for (let x = -height; x < width; x += 9) { pen.moveTo(x, height); pen.lineTo(x + height, 0); }
    pen.stroke();
  } else if (kind === "break") {
    for (let x = 4; x < width; x += 9) for (let y = 4; y < height; y += 9) pen.fillRect(x, y, 2, 2);
  }
  pen.restore();
}

function sound(pen, model, lane, countWidth, width, height, colours) {
  const floor = height - FLOOR, reach = floor - TOP;
  const { grid } = model;
  pen.beginPath();
  pen.moveTo(0, floor);
  let from = grid.timeOf(lane.from);
  for (let x = 0; x < width; x++) {
    const to = grid.timeOf(lane.from + (x + 1) / countWidth);
    pen.lineTo(x + 0.5, floor - reach * model.level(from, to));
    from = to;
  }
  pen.lineTo(width, floor);
  pen.closePath();
  pen.fillStyle = colours.water;
  pen.globalAlpha = lane.phrase.kind === "phrase" ? 0.9 : 0.65;
  pen.fill();
  pen.globalAlpha = 1;
}

function counts(pen, model, lane, countWidth, height, colours) {
  const floor = height - FLOOR;
  pen.strokeStyle = colours.ink;
  for (let count = 0; count < lane.counts; count++) {
    const x = count * countWidth, inPhrase = lane.offset + count;
    const carried = model.grid.inferred[lane.from + count];
    const eight = inPhrase % 8 === 0;
    pen.lineWidth = eight ? 2 : 1;
    pen.globalAlpha = eight ? 0.9 : 0.55;
    pen.setLineDash(carried ? [1.5, 2] : []);
    pen.beginPath();
    pen.moveTo(x + pen.lineWidth / 2, eight ? 0 : floor);
    pen.lineTo(x + pen.lineWidth / 2, height);
    pen.stroke();
  }
  pen.setLineDash([]);
  pen.globalAlpha = 1;
}
