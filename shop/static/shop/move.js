/* Picks an operation up on the wall chart and moves it by mouse, finger or keyboard; nothing is
   kept before its consequence was shown. Without this each bar leads to a form that does the same.
   Times are minutes of the wall clock since the midnight of the first day that is drawn. */
const chart = document.querySelector("svg[data-chart]");
const panel = document.querySelector("[data-carry]");
const DAY = 1440, BAR = 26, NEAR = 5, HOLD_MS = 350;
const SVG = "http://www.w3.org/2000/svg";

const make = (name, attributes, words = "") => {
  const one = document.createElementNS(SVG, name);
  for (const [key, value] of Object.entries(attributes)) one.setAttribute(key, value);
  one.textContent = words;
  return one;
};

class Sheet {
  constructor(data) {
    this.by = data.chart;
    this.left = Number(data.left);
    this.days = data.days.split(" ").map(Number);
    this.width = (Number(data.right) - this.left) / this.days.length;
    this.opens = Number(data.opens) * 60;
    this.shuts = Number(data.shuts) * 60;
    this.first = Date.parse(`${data.first}T00:00Z`);
    this.now = this.minute(data.now);
    this.step = Number(data.step);
  }

  minute(text) {
    return Math.round((Date.parse(`${text}Z`) - this.first) / 60000);
  }

  text(minute) {
    return new Date(this.first + minute * 60000).toISOString().slice(0, 16);
  }

  words(minute) {
    const at = new Date(this.first + minute * 60000);
    const day = at.toLocaleDateString("en-GB", { weekday: "short", day: "numeric", month: "short", timeZone: "UTC" });
    return `${day} ${at.toISOString().slice(11, 16)}`;
  }

  x(minute) {
    const day = Math.floor(minute / DAY);
    const index = this.days.findIndex((one) => one >= day);
    if (index < 0) return this.left + this.days.length * this.width;
    const inDay = this.days[index] > day ? this.opens : minute - day * DAY;
    const share = (Math.min(Math.max(inDay, this.opens), this.shuts) - this.opens) / (this.shuts - this.opens);
    return this.left + (index + share) * this.width;
  }

  at(x) {
    const place = Math.min(Math.max((x - this.left) / this.width, 0), this.days.length - 0.001);
    const index = Math.floor(place);
    return this.days[index] * DAY + this.opens + (place - index) * (this.shuts - this.opens);
  }

  get ends() {
    return this.days.at(-1) * DAY + this.shuts;
  }
}

class Row {
  constructor(group) {
    this.group = group;
    this.key = group.dataset.row;
    this.name = group.dataset.name;
    this.y = Number(group.dataset.y);
    this.foot = Number(group.dataset.foot);
    this.takes = group.dataset.takes.split(" ");
    this.open = (group.dataset.open || "").split(" ").filter(Boolean).map((span) => span.split("-").map(Number));
  }

  holds(y) {
    return y >= this.y && y < this.foot;
  }

  /* The pieces of so many minutes of work from a minute on, between the pauses of this row. */
  pieces(from, minutes) {
    const found = [];
    let left = minutes;
    for (const [start, end] of this.open) {
      if (end <= from || left <= 0) continue;
      const begin = Math.max(start, from);
      const until = Math.min(end, begin + left);
      found.push([begin, until]);
      left -= until - begin;
    }
    return found;
  }

  isOpen(minute) {
    return !this.open.length || this.open.some(([start, end]) => start <= minute && minute < end);
  }

  /* The next minute at which this row is open, looking later or sooner. */
  nearest(minute, way) {
    if (this.isOpen(minute)) return minute;
    const later = this.open.find(([start]) => start >= minute);
    const sooner = this.open.findLast(([, end]) => end <= minute);
    if (way > 0 || !sooner) return later ? later[0] : minute;
    return sooner[1];
  }
}

const sheet = chart && new Sheet(chart.dataset);
const rows = chart ? [...chart.querySelectorAll("[data-row]")].map((group) => new Row(group)) : [];
const rowOf = (bar) => rows.find((row) => row.group.contains(bar));
let held = null;

const tell = (words) => (document.querySelector("[data-tell]").textContent = words);

const canTake = (row, bar) =>
  sheet.by === "order" ? row === rowOf(bar) : row.takes.includes(sheet.by === "hand" ? bar.dataset.skill : bar.dataset.kind);

const clamped = (minute, row, way) => {
  const soonest = Math.ceil((sheet.now + 1) / sheet.step) * sheet.step;
  const on = Math.max(Math.round(minute / sheet.step) * sheet.step, soonest);
  return Math.min(row.nearest(on, way), sheet.ends);
};

function pickUp(bar) {
  if (held) putBack(false);
  const row = rowOf(bar);
  const start = sheet.minute(bar.dataset.start);
  held = { bar, row, at: start, from: { row, at: start }, minutes: Number(bar.dataset.minutes) };
  held.layer = make("g", { class: "carried", "aria-hidden": "true" });
  held.ground = make("g", { "aria-hidden": "true" });
  held.goes = make("g", { class: "carried", "aria-hidden": "true" });
  chart.append(held.goes, held.layer);
  chart.querySelector("g").after(held.ground);
  bar.classList.add("is-held");
  for (const one of rows) one.group.classList.toggle("takes-not", !canTake(one, bar));
  panel.hidden = false;
  panel.querySelector("[data-name]").textContent = bar.dataset.name;
  panel.querySelector("[data-page]").href = bar.getAttribute("href");
  panel.querySelector("[data-order]").href = bar.dataset.order;
  for (const up of panel.querySelectorAll("[data-by]")) up.hidden = sheet.by === "order" && "rows" in up.dataset;
  clearConsequence();
  draw();
  tell(`${bar.dataset.name} picked up from ${row.name}, ${sheet.words(start)}. Arrows move it, Enter asks what comes of it, Escape puts it back.`);
}

function putBack(isTold = true) {
  if (!held) return;
  const { bar, layer, ground, goes } = held;
  layer.remove();
  goes.remove();
  ground.remove();
  bar.classList.remove("is-held");
  for (const row of rows) row.group.classList.remove("takes-not");
  held = null;
  panel.hidden = true;
  clearConsequence();
  if (isTold) {
    bar.focus();
    tell(`${bar.dataset.name} put back.`);
  }
}

function goTo(row, at, way = 1) {
  held.row = row;
  held.at = clamped(at, row, way);
  clearConsequence();
  draw();
}

function step(minutes, lines) {
  if (minutes) {
    const to = (held.at + minutes) / sheet.step;
    goTo(held.row, (minutes > 0 ? Math.floor(to) : Math.ceil(to)) * sheet.step, Math.sign(minutes));
  }
  if (lines) {
    const able = rows.filter((row) => canTake(row, held.bar));
    const next = able[able.indexOf(held.row) + lines];
    if (next) goTo(next, held.at);
    else return tell(`No other ${sheet.by} there can do it.`);
  }
  held.layer.querySelector(".ghost").scrollIntoView({ block: "nearest", inline: "nearest" });
  return tell(`${sheet.words(held.at)}, ${held.row.name}${held.row.isOpen(held.at) ? "" : ", closed then"}`);
}

const hasMoved = () => held.row !== held.from.row || held.at !== held.from.at;

function draw() {
  const { row, at, minutes, layer } = held;
  layer.replaceChildren();
  held.ground.replaceChildren();
  for (const other of rows.filter((one) => canTake(one, held.bar))) drawClosed(other);
  const pieces = row.open.length ? row.pieces(at, minutes) : [[at, at + minutes]];
  const y = row.y + 6;
  const spans = (pieces.length ? pieces : [[at, at + minutes]]).map(([a, b]) => [sheet.x(a), Math.max(sheet.x(b), sheet.x(a) + 6)]);
  layer.append(make("path", { class: "thread", d: `M${spans[0][0]} ${y + BAR / 2}H${spans.at(-1)[1]}` }));
  for (const [start, end] of spans) layer.append(make("rect", { class: "ghost", x: start, y, width: end - start, height: BAR }));
  const words = `${sheet.words(at)}${row.isOpen(at) ? "" : ", closed then"}`;
  const isNearEnd = spans[0][0] > sheet.left + sheet.days.length * sheet.width - 150;
  const text = make("text", { class: "b", x: isNearEnd ? spans.at(-1)[1] : spans[0][0], y: y - 10, "text-anchor": isNearEnd ? "end" : "start" }, words);
  layer.append(text);
  const box = text.getBBox();
  text.before(make("rect", { class: "ground", x: box.x - 4, y: box.y - 1, width: box.width + 8, height: box.height + 2 }));
  panel.querySelector("[data-place]").textContent = `${held.row.name}, ${words}`;
  panel.querySelector("[data-was]").textContent = `${held.from.row.name}, ${sheet.words(held.from.at)}`;
  panel.querySelector("[data-look]").disabled = !hasMoved();
}

/* What is closed on a row within the hours that are drawn. */
function drawClosed(row) {
  if (!row.open.length) return;
  for (const day of sheet.days) {
    let from = day * DAY + sheet.opens;
    const until = day * DAY + sheet.shuts;
    for (const [start, end] of [...row.open.filter(([a, b]) => b > from && a < until), [until, until]]) {
      if (start > from) {
        const x = sheet.x(from);
        held.ground.append(make("rect", { class: "shut", x, y: row.y + 2, width: Math.max(0, sheet.x(start) - x), height: row.foot - row.y - 4 }));
      }
      from = Math.max(from, end);
    }
  }
}

/* Where everything else would go: a dashed outline there, joined to where it stands. */
function drawMoves(places) {
  for (const place of places) {
    const bar = chart.querySelector(`a.move[data-operation="${place.dataset.goes}"]`);
    const key = sheet.by === "order" ? bar && rowOf(bar).key : place.dataset[sheet.by];
    const row = rows.find((one) => one.key === key);
    if (!row) continue;
    const [start, end] = [sheet.x(sheet.minute(place.dataset.start)), sheet.x(sheet.minute(place.dataset.end))];
    if (start >= sheet.x(sheet.ends) - 1) continue;
    const y = row.y + 6;
    if (bar) {
      const box = bar.querySelector(".bar").getBBox();
      if (Math.abs(box.x - start) < 1 && Math.abs(box.y - y) < 1) continue;
      held.goes.append(make("path", { class: "goes-from", d: `M${box.x + 1} ${box.y + BAR / 2}L${start + 1} ${y + BAR / 2}` }));
    }
    held.goes.append(make("rect", { class: "goes", x: start, y, width: Math.max(3, end - start), height: BAR }));
  }
}

function clearConsequence() {
  held?.goes.replaceChildren();
  panel.querySelector("[data-consequence]").replaceChildren();
  panel.querySelector("[data-keep]").hidden = true;
  panel.querySelector("[data-look]").hidden = false;
}

function wish() {
  const { bar, row, at, from } = held;
  const asked = { station: bar.dataset.station, hand: bar.dataset.hand, starts_at: "" };
  if (row !== from.row && sheet.by !== "order") asked[sheet.by] = row.key;
  if (at !== from.at || bar.dataset.pinned) asked.starts_at = sheet.text(at);
  for (const name of ["station", "hand"]) if (asked[name] === "0") asked[name] = "";
  return new URLSearchParams({ ...asked, as: "part" });
}

async function look() {
  if (!held || !hasMoved()) return tell("It stands where it was; move it first.");
  const shown = panel.querySelector("[data-consequence]");
  const asked = held;
  shown.setAttribute("aria-busy", "true");
  shown.textContent = "Looking what would come of it…";
  try {
    const answer = await fetch(`${held.bar.getAttribute("href")}?${wish()}`, { headers: { Accept: "text/html" } });
    if (!answer.ok || answer.redirected) throw new Error(answer.status);
    const text = await answer.text();
    if (held !== asked) return undefined;
    shown.innerHTML = text;
    drawMoves(shown.querySelectorAll("[data-goes]"));
    const form = shown.querySelector("form");
    if (form) {
      const next = document.createElement("input");
      Object.assign(next, { type: "hidden", name: "next", value: location.pathname + location.search });
      form.append(next);
      panel.querySelector("[data-keep]").hidden = false;
      panel.querySelector("[data-look]").hidden = true;
    }
    tell(shown.querySelector(".comes, .strong, .note")?.textContent ?? "");
    panel.focus();
  } catch {
    shown.textContent = "There was no answer. Look again, or open the form of the operation.";
  } finally {
    shown.removeAttribute("aria-busy");
  }
  return undefined;
}

/* Mouse and finger: a drag picks up at once with a mouse, after a moment with a finger. */
const point = (event) => new DOMPoint(event.clientX, event.clientY).matrixTransform(chart.getScreenCTM().inverse());
let press = null;

function follow(event) {
  const { x, y } = point(event);
  const under = rows.find((row) => row.holds(y));
  const row = under && canTake(under, held.bar) ? under : held.row;
  const at = clamped(sheet.at(x - press.grip), row, 1);
  if (row !== held.row || at !== held.at) goTo(row, at);
  const area = chart.closest(".chart-scroll");
  const edge = area.getBoundingClientRect();
  if (event.clientX > edge.right - 40) area.scrollBy(14, 0);
  if (event.clientX < edge.left + 170) area.scrollBy(-14, 0);
}

function lift(event) {
  if (held?.bar !== press.bar) pickUp(press.bar);
  press.isDragged = true;
  press.grip = Math.max(0, press.x - sheet.x(held.at));
  chart.setPointerCapture(event.pointerId);
}

function onDown(event) {
  const bar = event.target.closest("a.move") ?? (event.target.closest(".ghost") && held?.bar);
  if (event.button !== 0) return;
  press = { bar, x: point(event).x, startX: event.clientX, startY: event.clientY, isDragged: false };
  if (bar && event.pointerType !== "mouse") press.timer = setTimeout(lift, HOLD_MS, event);
}

function onMove(event) {
  if (!press?.bar) return;
  const far = Math.hypot(event.clientX - press.startX, event.clientY - press.startY) > NEAR;
  if (!press.isDragged && far) {
    if (event.pointerType !== "mouse") return forget();
    lift(event);
  }
  if (press.isDragged) follow(event);
  return undefined;
}

function onUp(event) {
  const last = press;
  forget();
  if (!last) return;
  if (last.isDragged) {
    dragged = true;
    setTimeout(() => (dragged = false));
    if (hasMoved()) look();
  } else if (held && !event.target.closest("a")) {
    const { x, y } = point(event);
    const row = rows.find((one) => one.holds(y));
    if (row && !canTake(row, held.bar)) tell(`${row.name} cannot do it.`);
    else if (row && x <= sheet.left + sheet.days.length * sheet.width) goTo(row, sheet.at(x));
  }
}

/* The browser took the finger over: what was dragged so far stands, and is looked at. */
function onCancel() {
  const last = press;
  forget();
  if (last?.isDragged && hasMoved()) look();
}

function forget() {
  clearTimeout(press?.timer);
  press = null;
}

let dragged = false;

function onClick(event) {
  const bar = event.target.closest("a.move");
  if (!bar || event.ctrlKey || event.metaKey || event.shiftKey) return;
  event.preventDefault();
  if (!dragged && held?.bar !== bar) pickUp(bar);
}

const KEYS = {
  ArrowLeft: [-1, 0], ArrowRight: [1, 0], ArrowUp: [0, -1], ArrowDown: [0, 1], PageUp: [-DAY, 0], PageDown: [DAY, 0],
};

function onKey(event) {
  const bar = event.target.closest?.("a.move");
  if (event.key === "Escape" && held) return putBack();
  if (!bar) return undefined;
  if (held?.bar === bar) {
    if (event.key in KEYS) {
      event.preventDefault();
      const [along, lines] = KEYS[event.key];
      return step(Math.abs(along) === DAY ? along : along * sheet.step, lines);
    }
    if (event.key === "Enter") {
      event.preventDefault();
      return look();
    }
  } else if (event.key === " " || event.key === "m") {
    event.preventDefault();
    return pickUp(bar);
  }
  return undefined;
}

if (chart && panel) {
  chart.addEventListener("pointerdown", onDown);
  chart.addEventListener("pointermove", onMove);
  chart.addEventListener("pointerup", onUp);
  chart.addEventListener("pointercancel", onCancel);
  chart.addEventListener("click", onClick);
  chart.addEventListener("dragstart", (event) => event.preventDefault());
  chart.addEventListener("contextmenu", (event) => press?.bar && event.preventDefault());
  chart.addEventListener("touchmove", (event) => press?.isDragged && event.preventDefault(), { passive: false });
  document.addEventListener("keydown", onKey);
  for (const button of panel.querySelectorAll("[data-by]")) {
    button.addEventListener("click", () => step(Number(button.dataset.by) * sheet.step, Number(button.dataset.rows ?? 0)));
  }
  panel.querySelector("[data-look]").addEventListener("click", look);
  panel.querySelector("[data-keep]").addEventListener("click", () => panel.querySelector("form").requestSubmit());
  panel.querySelector("[data-back]").addEventListener("click", () => putBack());
}
