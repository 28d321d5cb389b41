// The texts and grounds of shields that lie on a line of another run in the schematic, as "text on line".
const found = [];
const segments = data.runs.flatMap((run, i) => {
  const numbers = by(`r${i}`).getAttribute("d").match(/[MHV][-\d. ]+/g);
  let x = 0, y = 0;
  const made = [];
  for (const piece of numbers) {
    const values = piece.slice(1).trim().split(/\s+/).map(Number);
    const [a, b] = [x, y];
    if (piece[0] === "M") [x, y] = values;
    else if (piece[0] === "H") x = values[0];
    else y = values[0];
    if (piece[0] !== "M") made.push([i, Math.min(a, x), Math.min(b, y), Math.max(a, x), Math.max(b, y)]);
  }
  return made;
});
// whether a run's name, whole or cut, is what stands in its line
const own = (element, words) => {
  const [begin, end] = words.split("\u2026");
  return [element, `${element} bar`].some((name) => (end === undefined ? name === words : name.startsWith(begin) && name.endsWith(end)));
};
const sheet = by("sheet");
const origin = sheet.getScreenCTM().inverse();
const box = (one, slim) => {
  const r = one.getBoundingClientRect();
  const p = new DOMPoint(r.left, r.top).matrixTransform(origin);
  const q = new DOMPoint(r.right, r.bottom).matrixTransform(origin);
  return [p.x + slim, p.y + 2.5, q.x - slim, q.y - 2.5];
};
for (const text of sheet.querySelectorAll("text")) {
  if (!text.textContent || text.closest(".w")) continue;
  const spans = text.querySelectorAll("tspan").length ? [...text.querySelectorAll("tspan")] : [text];
  for (const span of spans) {
    const [left, top, right, bottom] = box(span, text.classList.contains("along") ? 2.5 : 1);
    for (const [i, x1, y1, x2, y2] of segments) {
      if (text.classList.contains("along") && own(data.elements[data.runs[i][0]], span.textContent)) continue;
      if (x1 < right && x2 > left && y1 < bottom && y2 > top) found.push(`${span.textContent} on ${data.elements[data.runs[i][0]]}`);
    }
  }
}
for (const ground of sheet.querySelectorAll(".shield.to")) {
  const [left, top, right, bottom] = box(ground, 0.2);
  if (right < left) continue; // an open shield
  const wire = ground.previousElementSibling.textContent.replace("shield of ", "");
  for (const [i, x1, y1, x2, y2] of segments)
    if (data.elements[data.runs[i][0]] !== wire && x1 < right && x2 > left && y1 < bottom && y2 > top) found.push(`shield of ${wire} on ${data.elements[data.runs[i][0]]}`);
}
return [...new Set(found)];
