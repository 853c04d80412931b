// Where a picture or words catch on their panel: its edges, its middle, the safe zone, what the printer reaches, and
// borders that come out alike. All in mm on the upright panel; what is right or wrong about a place is the server's to say.

const SAME = 0.02;

// Lines along one axis: where the near edge, the far edge and the middle of a box may stand.
function lines(model, axis) {
  const [side, start, span] = axis === "x" ? [0, 0, 2] : [1, 1, 3];
  const size = model.size[side];
  const near = [[0, "edge"], [model.safe, "safe"]];
  const far = [[size, "edge"], [size - model.safe, "safe"]];
  const reach = [model.reach[start], model.reach[start] + model.reach[span]];
  const bleed = [model.bleed[start], model.bleed[start] + model.bleed[span]];
  if (reach[0] > SAME) near.push([reach[0], "reach"]);
  if (reach[1] < size - SAME) far.push([reach[1], "reach"]);
  if (model.kind === "picture" && bleed[0] < -SAME) near.push([bleed[0], "bleed"]);
  if (model.kind === "picture" && bleed[1] > size + SAME) far.push([bleed[1], "bleed"]);
  return { near, far, middle: size / 2, size };
}

function closest(found, reach) {
  const within = found.filter((each) => Math.abs(each.by) <= reach);
  within.sort((a, b) => Math.abs(a.by) - Math.abs(b.by));
  return within.find((each) => each.name === "middle") ?? within[0] ?? null; // near the middle, the middle is meant
}

function along(model, axis, start, span, others, reach) {
  const { near, far, middle, size } = lines(model, axis);
  const found = [{ by: middle - (start + span / 2), name: "middle", at: middle }];
  for (const [at, name] of near) found.push({ by: at - start, name, at });
  for (const [at, name] of far) found.push({ by: at - (start + span), name, at });
  for (const gap of others) {
    if (gap <= SAME) continue;
    found.push({ by: gap - start, name: "equal", at: gap });
    found.push({ by: size - gap - (start + span), name: "equal", at: size - gap });
  }
  return closest(found, reach);
}

export function gaps(box, model) {
  return { left: box.x, right: model.size[0] - box.x - box.w, top: box.y, bottom: model.size[1] - box.y - box.h };
}

// A box moved: where it comes to stand, and what it caught on. `reach` is how near is near enough.
export function snapMove(box, model, reach) {
  const hits = [];
  const y = along(model, "y", box.y, box.h, [], reach);
  const moved = { ...box, y: box.y + (y ? y.by : 0) };
  const { top, bottom } = gaps(moved, model);
  const x = along(model, "x", box.x, box.w, [top, bottom], reach);
  moved.x += x ? x.by : 0;
  let down = y;
  if (!y) {
    const { left, right } = gaps(moved, model);
    down = along(model, "y", box.y, box.h, [left, right], reach);
    moved.y += down ? down.by : 0;
  }
  if (x) hits.push({ axis: "x", ...x });
  if (down) hits.push({ axis: "y", ...down });
  return { box: moved, hits };
}

export function scaled(box, factor, at) {
  return { x: at.x - (at.x - box.x) * factor, y: at.y - (at.y - box.y) * factor, w: box.w * factor, h: box.h * factor };
}

// A box made larger or smaller about a point that stays: the factor that lets an edge catch.
export function snapZoom(box, factor, at, model, reach) {
  const wished = scaled(box, factor, at);
  const found = [];
  const add = (edge, wishedEdge, fixed, lines_, axis) => {
    if (Math.abs(edge - fixed) < 0.5) return;
    for (const [line, name] of lines_) found.push({ by: line - wishedEdge, factor: (line - fixed) / (edge - fixed), name, at: line, axis });
  };
  const along_ = { x: lines(model, "x"), y: lines(model, "y") };
  add(box.x, wished.x, at.x, along_.x.near, "x");
  add(box.x + box.w, wished.x + wished.w, at.x, along_.x.far, "x");
  add(box.y, wished.y, at.y, along_.y.near, "y");
  add(box.y + box.h, wished.y + wished.h, at.y, along_.y.far, "y");
  const [wide, high] = model.size;
  const centred = Math.abs(box.x + box.w / 2 - wide / 2) < SAME && Math.abs(box.y + box.h / 2 - high / 2) < SAME;
  const even = (wide - high) / (1 - box.h / box.w);
  if (centred && Number.isFinite(even) && even > 1 && even < wide) {
    found.push({ by: (even - wished.w) / 2, factor: even / box.w, name: "equal", at: (wide - even) / 2, axis: "x" });
  }
  const hit = closest(found.filter((each) => each.factor > 0.02), reach);
  return hit ? { box: scaled(box, hit.factor, at), hits: [hit] } : { box: wished, hits: [] };
}

// What can be said of where a box stands: the names of what it meets exactly.
export function met(box, model) {
  const names = new Set();
  for (const [axis, start, span] of [["x", box.x, box.w], ["y", box.y, box.h]]) {
    const { near, far, middle } = lines(model, axis);
    if (Math.abs(start + span / 2 - middle) < SAME) names.add(axis === "x" ? "middle-x" : "middle-y");
    for (const [at, name] of near) if (Math.abs(start - at) < SAME) names.add(name);
    for (const [at, name] of far) if (Math.abs(start + span - at) < SAME) names.add(name);
  }
  return names;
}

// Borders that are alike on at least two edges that meet: [their width, how many]; null where none are.
export function equalBorders(box, model) {
  const { left, right, top, bottom } = gaps(box, model);
  for (const gap of [top, bottom, left, right]) {
    if (gap <= SAME) continue;
    const alike = [left, right, top, bottom].filter((each) => Math.abs(each - gap) < SAME).length;
    const meets = (Math.abs(left - gap) < SAME || Math.abs(right - gap) < SAME) && (Math.abs(top - gap) < SAME || Math.abs(bottom - gap) < SAME);
    if (meets) return [gap, alike];
  }
  return null;
}
