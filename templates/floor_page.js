/* What the waiter has ticked. It stays on this page and is gone when the page is closed. */

const SEATS = 8;
const empty = () => Array.from({ length: SEATS }, () => ({ ticks: new Set() }));
let seats = empty();
let current = 0;
let cleared = null;
let since = "";
let wholeTable = false;
let showAll = false;

const node = (id) => document.getElementById(id);
function make(tag, content, className) {
  const element = document.createElement(tag);
  if (content !== undefined) { write(element, content); }
  if (className) { element.className = className; }
  return element;
}
function fill(parent, children) { parent.replaceChildren(...children); }

/* Text, or pieces of which those in another language than the page's say so. */
function write(element, content) {
  if (!Array.isArray(content)) { element.textContent = content; return; }
  fill(element, content.filter((piece) => piece.text).map((piece) => {
    if (piece.lang === tongue) { return document.createTextNode(piece.text); }
    const span = document.createElement("span");
    span.lang = piece.lang;
    span.textContent = piece.text;
    return span;
  }));
}

const seatTicks = (seat) => DATA.avoids.filter((avoid) => seat.ticks.has(avoid.key));
const seatKeys = (seat) => seatTicks(seat).flatMap((avoid) => avoid.keys);
const tickPieces = (seat) => between(seatTicks(seat).map((avoid) => namePieces(avoid.key)), ", ");
const asking = () => seats.map((seat, number) => [seat, number]).filter(([seat]) => seat.ticks.size);

/* Drawing */

function seatButton(seat, number) {
  const button = make("button");
  button.type = "button";
  button.setAttribute("aria-pressed", String(number === current));
  const [before, after] = words().say.seat.split("{}");
  button.append(make("span", before, "unseen"), String(number + 1), make("span", after, "unseen"));
  if (seat.ticks.size) { button.append(make("small", tickPieces(seat))); }
  button.addEventListener("click", () => {
    current = number;
    node("find").value = "";
    draw();
    node("seats").children[number].focus();
  });
  return button;
}

function drawSeats() {
  fill(node("seats"), seats.map(seatButton));
  const seat = seats[current];
  node("remove").disabled = !seat.ticks.size;
  node("clear").disabled = !asking().length && !node("table-name").value;
  node("back").hidden = !cleared;
  node("since").textContent = asking().length ? say("floor since", since) : "";
  write(node("avoids-h"), pieces("floor seat avoids", current + 1));
  write(node("ticked"), seat.ticks.size ? tickPieces(seat) : say("floor nothing yet"));
  drawJump();
}

function shownAvoids() {
  const typed = node("find").value.trim();
  return typed ? matching(typed) : DATA.avoids.filter((avoid) => showAll || avoid.first || seats[current].ticks.has(avoid.key));
}

/* Up to three short words of guests, to tell what a name covers; a word that stands for many ("seeds") tells nothing of one, and
   one that is asked back ("nuts") must not be read as this one. */
const asksBack = new Set(BACK.flatMap((each) => each.said));
function hints(avoid) {
  const name = bare(nameOf(avoid.key));
  const told = (word) => bare(word).startsWith(name) || name.startsWith(bare(word));
  const plain = (word) => word.length < 17 && bearers.get(word) < 3 && !told(word) && !asksBack.has(bare(word));
  return guestWords(avoid).filter(plain).slice(0, 3).join(", ");
}

const guestWords = (avoid) => (tongue === "en" ? avoid.words : words().words[avoid.key] || []);
let bearers = new Map();
function countBearers() {
  bearers = new Map();
  DATA.avoids.flatMap(guestWords).forEach((word) => bearers.set(word, (bearers.get(word) || 0) + 1));
}

function tickBox(avoid) {
  const label = make("label");
  const box = make("input");
  box.type = "checkbox";
  box.checked = seats[current].ticks.has(avoid.key);
  box.addEventListener("change", () => {
    if (!asking().length) { since = clock(new Date()); }
    if (box.checked) { seats[current].ticks.add(avoid.key); } else { seats[current].ticks.delete(avoid.key); }
    cleared = null;
    drawSeats();
    drawAnswers();
  });
  const text = make("span", namePieces(avoid.key));
  const more = hints(avoid);
  if (more) { text.append(make("small", more)); }
  label.append(box, text);
  return label;
}

function drawAvoids() {
  const typed = node("find").value.trim();
  const shown = shownAvoids();
  fill(node("avoids"), shown.map(tickBox));
  const back = askedBack(typed);
  node("found").textContent = !typed ? ""
    : back.length ? back.map((each) => say("floor back " + each.key, typed)).join(" ")
      : shown.length ? say("floor found", typed, shown.length) : say("floor not found", typed);
  node("found").classList.toggle("asked-back", back.length > 0);
  const rest = DATA.avoids.filter((avoid) => !avoid.first).length;
  node("more").hidden = Boolean(typed) || rest === 0;
  node("more").textContent = showAll ? say("floor fewer") : say("floor more", rest);
  node("more").setAttribute("aria-expanded", String(showAll));
}

function answerClass(answer) {
  if (answer.verdict === RULE.not_for_this_guest) { return "not"; }
  if (answer.verdict === RULE.ask) { return "ask"; }
  if (answer.verdict === RULE.nothing_on_record) { return answer.changes.length ? "fresh" : "nothing"; }
  return "none";
}

function reasonNodes(answer) {
  const told = together(answer.because).map(factPieces);
  if (!told.length) { return []; }
  const list = make("ul", undefined, "why");
  list.append(...told.map((each) => make("li", answer.changes.length ? pieces("as written", each) : each)));
  return [list];
}

const whom = () => (DATA.ask ? pieces("floor ask", [own(DATA.ask)]) : pieces("floor ask the kitchen"));

/* named: say whom to ask, where the kitchen names somebody (every answer says the kitchen already). */
function answerNodes(dish, seat, closed, named) {
  if (closed) { return [make("p", closed, "says none")]; }
  const answer = answerDish(dish, seatKeys(seat));
  if (answer.verdict === RULE.nothing_asked) { return []; }
  const out = [make("p", answerPieces(answer.verdict, answer.changes), "says " + answerClass(answer)), ...reasonNodes(answer)];
  if (named && DATA.ask && answer.verdict !== RULE.not_for_this_guest) { out.push(make("p", whom(), "whom")); }
  return out;
}

function dishHead(dish) {
  const out = [make("h4", [own(dish.name)])];
  if (dish.also_called.length) { out.push(make("p", pieces("floor also called", [own(dish.also_called.join(", "))]), "also")); }
  return out;
}

function courseTitle(course) {
  if (course.made === "course") { return pieces("floor course", course.number); }
  return course.made === "packs" ? pieces("packs") : [own(course.title)];
}

function courseNodes(perDish) {
  const titles = DATA.courses.map((course) => textOf(courseTitle(course)));
  return DATA.courses.flatMap((course, place) => [
    ...(titles[place] === titles[place - 1] ? [] : [make("h3", courseTitle(course))]),
    ...course.dishes.map((dish) => {
      const block = make("div", undefined, "dish");
      block.append(...dishHead(dish), ...perDish(dish));
      return block;
    })]);
}

const COUNTED = { not: "not for this guest", none: "floor without answer", ask: "ask", fresh: "floor make fresh",
  nothing: "floor nothing on record" };

function summaryWords(seat) {
  const counts = new Map();
  DATA.courses.flatMap((course) => course.dishes).forEach((dish) => {
    const answer = answerDish(dish, seatKeys(seat));
    const kind = answerClass(answer);
    counts.set(kind, (counts.get(kind) || 0) + 1);
  });
  const there = Object.entries(COUNTED).filter(([kind]) => counts.has(kind));
  return there.map(([kind, key]) => counts.get(kind) + " " + say(key)).join(" · ");
}

function seatAvoids([seat, number]) { return pieces("floor seat avoids these", number + 1, tickPieces(seat)); }

function tablePieces() {
  const name = node("table-name").value.trim();
  return name ? [...pieces("floor table is", name), plain(" ")] : [];
}

function tableIntro(seated) {
  const avoided = seated.length ? [...between(seated.map(seatAvoids), ". "), plain(".")] : pieces("floor nobody");
  return make("p", [...tablePieces(), ...avoided, plain(" "), ...whom()], "ticked");
}

function tableNodes(closed) {
  const seated = asking();
  return [tableIntro(seated), ...courseNodes((dish) => seated.map(([seat, number]) => {
    const block = make("div", undefined, "seat-says");
    const says = make("div");
    says.append(...answerNodes(dish, seat, closed, false));
    block.append(make("p", say("seat", number + 1), "seat"), says);
    return block;
  })), make("p", say("floor sign"), "sign")];
}

function drawAnswers() {
  const closed = closedWords(isoDay(new Date()));
  const seat = seats[current];
  const asked = seat.ticks.size;
  node("one").setAttribute("aria-pressed", String(!wholeTable));
  node("all").setAttribute("aria-pressed", String(wholeTable));
  const heading = wholeTable ? pieces("floor whole table") : asked ? seatAvoids([seat, current]) : pieces("seat", current + 1);
  write(node("answers-h"), wholeTable ? heading : [...tablePieces(), ...heading]);
  node("summary").textContent = closed || (wholeTable ? "" : asked ? summaryWords(seat) : say("floor tick first", current + 1));
  node("menu").hidden = wholeTable;
  fill(node("menu"), courseNodes((dish) => answerNodes(dish, seat, closed, true)));
  node("table").hidden = !wholeTable;
  fill(node("table"), tableNodes(closed));
}

let lastDay = "";
function tick() {
  const now = new Date();
  const today = isoDay(now);
  node("now").textContent = nowWords(now);
  if (today === lastDay) { return; }
  lastDay = today;
  const closed = closedWords(today);
  node("alarm").hidden = !closed;
  node("alarm").textContent = closed;
  drawAnswers();
}

/* On small screens: a bar at the foot that goes from ticking to the answers and back. */

function drawJump() {
  const atAnswers = node("answers").getBoundingClientRect().top < window.innerHeight * 0.6;
  const seat = seats[current];
  const ticked = seat.ticks.size ? tickPieces(seat) : say("nothing asked");
  write(node("jump-words"), pieces("floor reason", say("seat", current + 1), ticked));
  node("jump").textContent = say(atAnswers ? "floor back" : "floor to answers");
  node("jump").value = atAnswers ? "ask" : "answers";
}

function draw() { drawSeats(); drawAvoids(); drawAnswers(); }

/* The language: every word of the page is in the file, nothing is fetched or kept. */

function each(selector, change) { document.querySelectorAll(selector).forEach(change); }

function speak(language) {
  tongue = language;
  const lines = words().lines;
  document.documentElement.lang = language;
  document.title = DATA.title + " · " + say("floor title");
  each("[data-say]", (element) => { element.textContent = say(element.dataset.say); });
  each("[data-label]", (element) => { element.setAttribute("aria-label", say(element.dataset.label)); });
  each("[data-hint]", (element) => { element.placeholder = say(element.dataset.hint); });
  node("issue").hidden = !lines.issue;
  node("issue").textContent = lines.issue;
  node("service").textContent = lines.service;
  node("made").textContent = lines.made;
  fill(node("cautions"), [...words().cautions, lines.records].map((text) => make("li", text)));
  each("#tongues button", (button) => { button.setAttribute("aria-pressed", String(button.value === language)); });
  lastDay = "";
  countBearers();
  draw();
  tick();
}

each("#tongues button", (button) => button.addEventListener("click", () => {
  speak(button.value);
  node("spoken").textContent = say("floor speaks");
}));

/* Clearing can be undone until something is ticked again: a slip of the finger must lose no allergy. */

function clear(after) {
  const kept = seats.map((seat) => ({ ticks: new Set(seat.ticks) }));
  cleared = { seats: kept, current: current, since: since, table: node("table-name").value };
  after();
  node("find").value = "";
  draw();
  node("back").focus();
}

node("add").addEventListener("click", () => {
  seats.push({ ticks: new Set() });
  current = seats.length - 1;
  node("find").value = "";
  draw();
});
node("remove").addEventListener("click", () => clear(() => { seats[current].ticks.clear(); }));
node("clear").addEventListener("click", () => clear(() => {
  seats = empty();
  current = 0;
  wholeTable = false;
  node("table-name").value = "";
}));
node("back").addEventListener("click", () => {
  ({ seats, current, since } = cleared);
  node("table-name").value = cleared.table;
  cleared = null;
  draw();
  node("seats").children[current].focus();
});
node("find").addEventListener("input", drawAvoids);
node("find").addEventListener("focus", () => node("find").select());
node("table-name").addEventListener("input", () => { drawSeats(); drawAnswers(); });
node("more").addEventListener("click", () => { showAll = !showAll; drawAvoids(); });
node("one").addEventListener("click", () => { wholeTable = false; drawAnswers(); });
node("all").addEventListener("click", () => { wholeTable = true; drawAnswers(); });
node("print").addEventListener("click", () => { tick(); window.print(); });
node("jump").addEventListener("click", () => {
  const goal = node(node("jump").value);
  goal.scrollIntoView();
  goal.focus({ preventScroll: true });
});
document.addEventListener("scroll", drawJump, { passive: true });
document.addEventListener("visibilitychange", tick);
setInterval(tick, 5000);
speak(tongue);
