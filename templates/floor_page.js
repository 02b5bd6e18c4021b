"use strict";
const DATA = JSON.parse(document.getElementById("data").textContent);
const SAY = DATA.say;

/* The rule. It stands once more in labeller/terms/floor.py; a test holds the two against each other. */

function found(option, asked) {
  return asked.filter((key) => Object.hasOwn(option.states, key) && option.states[key].state !== SAY.none_on_record)
    .map((key) => ({ key: key, state: option.states[key].state, because: option.states[key].because }));
}

function verdictOf(facts) {
  if (facts.some((fact) => SAY.refused.includes(fact.state))) { return SAY.not_for_this_guest; }
  return facts.length ? SAY.ask : SAY.nothing_on_record;
}

function listed(names) {
  return names.length === 1 ? names[0] : names.slice(0, -1).join(", ") + " and " + names[names.length - 1];
}

function changeWords(changes) {
  const without = changes.filter((change) => change.action === SAY.leave_off).map((change) => change.component);
  const instead = changes.filter((change) => change.action === SAY.instead)
    .map((change) => "with " + change.with + " instead of " + change.component);
  const parts = [];
  if (without.length) { parts.push("without " + listed(without)); }
  if (instead.length) { parts.push(listed(instead)); }
  return "make fresh " + parts.join(", ");
}

function answerWords(verdict, changes) {
  if (!changes.length || verdict === SAY.not_for_this_guest) { return verdict; }
  if (verdict === SAY.ask) { return SAY.ask + ": " + changeWords(changes) + "?"; }
  return changeWords(changes) + ", " + SAY.confirm;
}

function answerDish(dish, keys) {
  const asked = [...new Set(keys)];
  const none = { changes: [], because: [], remaining: [] };
  if (dish.stopped || !dish.options.length) { return { verdict: SAY.no_answer, words: SAY.no_answer, ...none }; }
  if (!asked.length) { return { verdict: SAY.nothing_asked, words: SAY.nothing_asked, ...none }; }
  const verdicts = dish.options.map((option) => verdictOf(found(option, asked)));
  const best = SAY.verdicts.find((verdict) => verdicts.includes(verdict));
  const option = dish.options[verdicts.indexOf(best)];
  return {
    verdict: best, words: answerWords(best, option.changes), changes: option.changes,
    because: found(dish.options[0], asked), remaining: option.changes.length ? found(option, asked) : [],
  };
}

/* Dates: the page answers only on the days of its service, by the clock of the device. */

const DAYS = ["Sunday", "Monday", "Tuesday", "Wednesday", "Thursday", "Friday", "Saturday"];
const MONTHS = ["January", "February", "March", "April", "May", "June", "July", "August", "September", "October",
  "November", "December"];
const two = (number) => String(number).padStart(2, "0");

function isoDay(date) { return date.getFullYear() + "-" + two(date.getMonth() + 1) + "-" + two(date.getDate()); }

function dayWords(iso) {
  const [year, month, day] = iso.split("-").map(Number);
  return day + " " + MONTHS[month - 1] + " " + year;
}

function closedWords(today) {
  if (!DATA.ends) { return SAY.not_dated; }
  if (today > DATA.ends) { return SAY.out_of_date; }
  if (DATA.starts && today < DATA.starts) { return SAY.not_yet.replace("{}", dayWords(DATA.starts)); }
  return "";
}

/* What the waiter has ticked. It stays on this page and is gone when the page is closed. */

let seats = [{ ticks: new Set() }];
let current = 0;
let wholeTable = false;
let showAll = false;
const byKey = new Map(DATA.avoids.map((avoid) => [avoid.key, avoid]));
const names = new Map(DATA.avoids.filter((avoid) => avoid.keys.length === 1).map((avoid) => [avoid.keys[0], avoid.name]));
DATA.avoids.forEach((avoid) => { if (avoid.keys.includes(avoid.key)) { names.set(avoid.key, avoid.name); } });

const node = (id) => document.getElementById(id);
function make(tag, text, className) {
  const element = document.createElement(tag);
  if (text !== undefined) { element.textContent = text; }
  if (className) { element.className = className; }
  return element;
}
function fill(parent, children) { parent.replaceChildren(...children); }

const keyName = (key) => names.get(key) || key.replaceAll("_", " ");
const seatName = (number) => "Seat " + (number + 1);
const tickNames = (seat) => DATA.avoids.filter((avoid) => seat.ticks.has(avoid.key)).map((avoid) => avoid.name);
const seatKeys = (seat) => DATA.avoids.filter((avoid) => seat.ticks.has(avoid.key)).flatMap((avoid) => avoid.keys);

function plain(text) { return text.normalize("NFKD").replace(/[\u0300-\u036f]/g, "").toLowerCase().trim(); }
function matches(avoid, words) {
  const texts = [avoid.name, avoid.key.replaceAll("_", " "), ...avoid.words].map(plain);
  return words.every((word) => texts.some((text) => text.includes(word) || (word.length > 3 && text.length > 3 && word.startsWith(text))));
}

/* Drawing */

function drawSeats() {
  fill(node("seats"), seats.map((seat, number) => {
    const button = make("button", seatName(number));
    button.type = "button";
    button.setAttribute("aria-pressed", String(number === current));
    const ticked = tickNames(seat);
    button.append(make("small", ticked.length ? ticked.length + " avoided" : "nothing ticked"));
    button.addEventListener("click", () => { current = number; draw(); node("seats").children[number].focus(); });
    return button;
  }));
  node("remove").disabled = seats.length === 1;
  const ticked = tickNames(seats[current]);
  node("avoids-h").textContent = seatName(current) + " avoids";
  drawJump();
  node("ticked").textContent = ticked.length ? ticked.join(", ") : "Nothing ticked yet.";
}

function shownAvoids() {
  const words = plain(node("find").value).split(/[\s,;]+/).filter(Boolean);
  if (words.length) { return DATA.avoids.filter((avoid) => matches(avoid, words)); }
  return DATA.avoids.filter((avoid) => showAll || avoid.first || seats[current].ticks.has(avoid.key));
}

function drawAvoids() {
  const searching = node("find").value.trim();
  const shown = shownAvoids();
  fill(node("avoids"), shown.map((avoid) => {
    const label = make("label");
    const box = make("input");
    box.type = "checkbox";
    box.checked = seats[current].ticks.has(avoid.key);
    box.addEventListener("change", () => {
      if (box.checked) { seats[current].ticks.add(avoid.key); } else { seats[current].ticks.delete(avoid.key); }
      drawSeats();
      drawAnswers();
    });
    const text = make("span", avoid.name);
    const said = avoid.words.filter((word) => !plain(word).startsWith(plain(avoid.name)));
    if (said.length) { text.append(make("small", said.slice(0, 3).join(", "))); }
    label.append(box, text);
    return label;
  }));
  node("found").textContent = !searching ? "" : shown.length
    ? shown.length + (shown.length === 1 ? " entry" : " entries") + " for “" + searching + "”"
    : "“" + searching + "” is not on this page. ASK THE KITCHEN.";
  const rest = DATA.avoids.filter((avoid) => !avoid.first).length;
  node("more").hidden = Boolean(searching) || rest === 0;
  node("more").textContent = showAll ? "Show fewer" : "Show " + rest + " more: single cereals, nuts, fish and others";
  node("more").setAttribute("aria-expanded", String(showAll));
}

function answerClass(answer) {
  if (answer.verdict === SAY.not_for_this_guest) { return "not"; }
  if (answer.verdict === SAY.ask) { return "ask"; }
  if (answer.verdict === SAY.nothing_on_record) { return answer.changes.length ? "fresh" : "nothing"; }
  return "none";
}

function reasons(facts, intro) {
  return facts.map((fact) => {
    const shown = fact.because.slice(0, 3);
    const more = fact.because.length - shown.length;
    return make("li", intro + SAY.states[fact.state] + ": " + keyName(fact.key)
      + (shown.length ? " (" + shown.join("; ") + (more ? "; and " + more + " more" : "") + ")" : ""));
  });
}

function answerNodes(dish, seat, closed, whom) {
  if (closed) { return [make("p", closed, "says none")]; }
  const answer = answerDish(dish, seatKeys(seat));
  if (answer.verdict === SAY.nothing_asked) { return []; }
  const out = [make("p", answer.words, "says " + answerClass(answer))];
  const why = reasons(answer.because, answer.changes.length ? "as written, " : "")
    .concat(reasons(answer.remaining, "after the change, "));
  if (why.length) { const list = make("ul", undefined, "why"); list.append(...why); out.push(list); }
  if (whom && answer.verdict !== SAY.not_for_this_guest) { out.push(make("p", "Ask " + DATA.ask + ".", "whom")); }
  return out;
}

function dishHead(dish) {
  const out = [make("h4", dish.name)];
  if (dish.also_called.length) { out.push(make("p", "also called " + dish.also_called.join(", "), "also")); }
  return out;
}

function courseNodes(perDish) {
  return DATA.courses.flatMap((course, place) => [
    ...(place && DATA.courses[place - 1].title === course.title ? [] : [make("h3", course.title)]), ...course.dishes.map((dish) => {
    const block = make("div", undefined, "dish");
    block.append(...dishHead(dish), ...perDish(dish));
    return block;
  })]);
}

function summaryWords(seat) {
  const counts = new Map();
  DATA.courses.flatMap((course) => course.dishes).forEach((dish) => {
    const answer = answerDish(dish, seatKeys(seat));
    const word = answer.verdict === SAY.nothing_on_record
      ? (answer.changes.length ? "make fresh with a change" : "nothing on record") : answer.verdict;
    counts.set(word, (counts.get(word) || 0) + 1);
  });
  return [...counts].map(([word, count]) => count + " " + word).join(" · ");
}

function drawAnswers() {
  const closed = closedWords(isoDay(new Date()));
  const seat = seats[current];
  const ticked = tickNames(seat);
  node("one").setAttribute("aria-pressed", String(!wholeTable));
  node("all").setAttribute("aria-pressed", String(wholeTable));
  node("answers-h").textContent = wholeTable ? "Whole table" : seatName(current) + (ticked.length ? ": avoids " + ticked.join(", ") : "");
  node("summary").textContent = closed || (wholeTable ? "" : ticked.length ? summaryWords(seat)
    : "Tick what " + seatName(current).toLowerCase() + " avoids; the answers come here, course by course.");
  node("menu").hidden = wholeTable;
  fill(node("menu"), courseNodes((dish) => answerNodes(dish, seat, closed, true)));
  node("table").hidden = !wholeTable;
  const table = node("table-name").value.trim();
  const asking = seats.map((each, number) => [each, number]).filter(([each]) => each.ticks.size);
  const intro = make("p", (table ? "Table " + table + ". " : "") + (asking.length
    ? asking.map(([each, number]) => seatName(number) + " avoids " + tickNames(each).join(", ")).join(". ") + "."
    : "Nothing is ticked for any seat.") + " Ask " + DATA.ask + ".", "ticked");
  fill(node("table"), [intro, ...courseNodes((dish) => asking.map(([each, number]) => {
    const block = make("div", undefined, "seat-says");
    const says = make("div");
    says.append(...answerNodes(dish, each, closed, false));
    block.append(make("p", seatName(number), "seat"), says);
    return block;
  })), make("p", "Checked with the kitchen by ______________  time ________", "sign")]);
}

let lastDay = "";
function tick() {
  const now = new Date();
  const today = isoDay(now);
  node("now").textContent = DAYS[now.getDay()] + " " + dayWords(today) + ", " + two(now.getHours()) + ":" + two(now.getMinutes());
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
  const ticked = tickNames(seats[current]);
  node("jump-words").textContent = seatName(current) + ": " + (ticked.length ? ticked.join(", ") : "nothing ticked");
  node("jump").textContent = atAnswers ? "Back to ticking" : "To the answers";
  node("jump").value = atAnswers ? "ask" : "answers";
}

function draw() { drawSeats(); drawAvoids(); drawAnswers(); }

node("add").addEventListener("click", () => { seats.push({ ticks: new Set() }); current = seats.length - 1; node("find").value = ""; draw(); });
node("remove").addEventListener("click", () => {
  if (seats.length > 1) { seats.splice(current, 1); current = Math.min(current, seats.length - 1); draw(); }
});
node("clear").addEventListener("click", () => {
  seats = [{ ticks: new Set() }]; current = 0; wholeTable = false; node("find").value = ""; node("table-name").value = ""; draw();
});
node("find").addEventListener("input", drawAvoids);
node("table-name").addEventListener("input", drawAnswers);
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
draw();
tick();
