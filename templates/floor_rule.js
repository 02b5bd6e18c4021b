"use strict";
const DATA = JSON.parse(document.getElementById("data").textContent);
const RULE = DATA.rule;

/* The rule. It stands once more in labeller/terms/floor.py; a test holds the two against each other. Verdicts and states are
   keys, the same in every language. */

function found(option, asked) {
  return asked.filter((key) => Object.hasOwn(option.states, key) && option.states[key].state !== RULE.none_on_record)
    .map((key) => ({ key: key, state: option.states[key].state, because: option.states[key].because }));
}

function verdictOf(facts) {
  if (facts.some((fact) => RULE.refused.includes(fact.state))) { return RULE.not_for_this_guest; }
  return facts.length ? RULE.ask : RULE.nothing_on_record;
}

function answerDish(dish, keys) {
  const asked = [...new Set(keys)];
  const none = { changes: [], because: [] };
  if (dish.stopped || !dish.options.length) { return { verdict: RULE.no_answer, words: say("no answer"), ...none }; }
  if (!asked.length) { return { verdict: RULE.nothing_asked, words: say("nothing asked"), ...none }; }
  const because = found(dish.options[0], asked);
  const settled = dish.options.find((option) => !found(option, asked).length);
  const verdict = settled ? RULE.nothing_on_record : verdictOf(because);
  const changes = settled ? settled.changes : [];
  return { verdict: verdict, words: textOf(answerPieces(verdict, changes)), changes: changes, because: because };
}

/* What stands in one state for the same reasons is told once, with all its names. */
function together(facts) {
  const groups = new Map();
  facts.forEach((fact) => {
    const key = JSON.stringify([fact.state, fact.because]);
    groups.set(key, [...(groups.get(key) || []), fact]);
  });
  return [...groups.values()];
}

/* Words. What is said is a list of pieces, so that the kitchen's own words keep their language inside a sentence. */

let tongue = DATA.languages[0];
const words = () => DATA.tongues[tongue];
const own = (text) => ({ text: text, lang: DATA.own });
const plain = (text) => ({ text: text, lang: tongue });
const textOf = (pieces) => pieces.map((piece) => piece.text).join("");

/* Each part: a text or a list of pieces. */
function pieces(key, ...parts) {
  const texts = words().say[key].split("{}");
  return texts.flatMap((text, place) => {
    const part = place < parts.length ? parts[place] : "";
    return [plain(text), ...(Array.isArray(part) ? part : [plain(String(part))])];
  });
}
const say = (key, ...parts) => textOf(pieces(key, ...parts));

function listed(lists) {
  const last = lists[lists.length - 1];
  if (lists.length === 1) { return last; }
  return [...between(lists.slice(0, -1), ", "), plain(" " + say("and") + " "), ...last];
}

function between(lists, mark) { return lists.flatMap((list, place) => (place ? [plain(mark), ...list] : list)); }

function changePieces(changes) {
  const without = changes.filter((change) => change.action === RULE.leave_off).map((change) => [own(change.component)]);
  const instead = changes.filter((change) => change.action === RULE.instead)
    .map((change) => pieces("with instead", [own(change.with)], [own(change.component)]));
  const parts = [];
  if (without.length) { parts.push(pieces("without", listed(without))); }
  if (instead.length) { parts.push(listed(instead)); }
  return pieces("make fresh", between(parts, ", "));
}

const VERDICT_WORDS = new Map([[RULE.nothing_on_record, "nothing on record"], [RULE.ask, "ask"], [RULE.no_answer, "no answer"],
  [RULE.not_for_this_guest, "not for this guest"], [RULE.nothing_asked, "nothing asked"]]);

function answerPieces(verdict, changes) {
  if (!changes.length) { return pieces(VERDICT_WORDS.get(verdict)); }
  return [...changePieces(changes), plain(", "), ...pieces("confirm")];
}

const ticks = new Map(DATA.avoids.map((avoid) => [avoid.key, avoid]));
const english = new Map(DATA.avoids.filter((avoid) => avoid.keys.length === 1).map((avoid) => [avoid.keys[0], avoid.name]));
DATA.avoids.forEach((avoid) => { if (avoid.keys.includes(avoid.key)) { english.set(avoid.key, avoid.name); } });

/* A language without a word for it says the English one. */
function namePieces(key) {
  const names = words().names;
  if (Object.hasOwn(names, key)) { return [plain(names[key])]; }
  const tick = ticks.get(key);
  return [{ text: english.get(key) || (tick ? tick.name : key.replaceAll("_", " ")), lang: "en" }];
}
const nameOf = (key) => textOf(namePieces(key));

function stateWords(state) { return say(RULE.states[state] || "cell not confirmed"); }

/* A reason takes turns: the kitchen's own words, the page's, the kitchen's … */
function reasonPieces(place) {
  return words().reasons[place].map((text, turn) => (turn % 2 ? plain(text) : own(text)));
}

/* facts: of one state and with the same reasons. Reasons with brackets of their own stand behind a dash. */
function factPieces(facts) {
  const [fact] = facts;
  const shown = fact.because.slice(0, 3).map(reasonPieces);
  const more = fact.because.length - shown.length;
  if (more) { shown.push(pieces("floor and more", more)); }
  const inner = between(shown, "; ");
  const why = !shown.length ? [] : textOf(inner).includes("(") ? [plain(" \u2013 "), ...inner]
    : [plain(" ("), ...inner, plain(")")];
  return pieces("floor reason", stateWords(fact.state), [...between(facts.map((each) => namePieces(each.key)), ", "), ...why]);
}

/* Search: by the words of every language of the page, as a guest may speak another than the waiter. */

const LETTERS = [[/œ/g, "oe"], [/æ/g, "ae"], [/ß/g, "ss"], [/ø/g, "o"], [/[’']/g, " "], [/([aou])e/g, "$1"]];
function bare(text) {
  const low = text.toLowerCase().normalize("NFKD").replace(/[\u0300-\u036f]/g, "");
  return LETTERS.reduce((each, [from, to]) => each.replace(from, to), low).trim();
}

const said = new Map(DATA.avoids.map((avoid) => {
  const inTongue = (each) => [each.names[avoid.key] || "", ...(each.words[avoid.key] || [])];
  const texts = [avoid.name, avoid.key.replaceAll("_", " "), ...avoid.words, ...Object.values(DATA.tongues).flatMap(inTongue)];
  return [avoid.key, [...new Set(texts.map(bare).filter(Boolean))]];
}));

/* 2: a word of it begins so; 1: it stands inside a word ("nuss" in "Erdnuss"); 0: not found. */
function hit(text, word) {
  if (text.startsWith(word) || text.includes(" " + word)) { return 2; }
  if (word.length > 3 && text.includes(word)) { return 1; }
  return word.length > 3 && text.length > 3 && word.startsWith(text) ? 1 : 0;
}

function ticked(typed) {
  const asked = bare(typed).split(/[\s,;]+/).filter(Boolean);
  const scored = DATA.avoids.map((avoid) => {
    const hits = asked.map((word) => Math.max(...said.get(avoid.key).map((text) => hit(text, word))));
    return [Math.min(...hits), avoid];
  }).filter(([score]) => score > 0);
  return [2, 1].flatMap((score) => scored.filter(([each]) => each === score).map(([, avoid]) => avoid));
}

/* Words that no tick answers alone: of several meanings ("nuts"), or for the kitchen to answer ("kosher", "raw egg"). */

const BACK = DATA.asked_back.map((each) => {
  const foreign = Object.values(DATA.tongues).flatMap((one) => one.words["back_" + each.key] || []);
  return { key: each.key, ticks: each.ticks, said: [...new Set([...each.words, ...foreign].map(bare))] };
});

function askedBack(typed) {
  const text = bare(typed).replace(/[\s,;]+/g, " ").trim();
  if (text.length < 3) { return []; }
  const begun = BACK.filter((each) => each.said.some((word) => word.startsWith(text)));
  const inside = (word) => (" " + text + " ").includes(" " + word + " ");
  return begun.length || ticked(text).length ? begun : BACK.filter((each) => each.said.some(inside));
}

/* What is asked back stands first, then whatever else bears the word. */
function matching(typed) {
  const first = new Set(askedBack(typed).flatMap((each) => each.ticks));
  return [...DATA.avoids.filter((avoid) => first.has(avoid.key)), ...ticked(typed).filter((avoid) => !first.has(avoid.key))];
}

/* Dates: the page answers only on the days of its service, by the clock of the device. */

const two = (number) => String(number).padStart(2, "0");

function isoDay(date) { return date.getFullYear() + "-" + two(date.getMonth() + 1) + "-" + two(date.getDate()); }

function dayWords(iso) {
  const [year, month, day] = iso.split("-").map(Number);
  const name = words().say.months.split(" ")[month - 1];
  return words().say.date.replace("{day}", day).replace("{month}", name).replace("{year}", year);
}

const clock = (time) => two(time.getHours()) + ":" + two(time.getMinutes());

function nowWords(now) {
  const weekday = words().say.weekdays.split(" ")[(now.getDay() + 6) % 7];
  return say("date with weekday", weekday, dayWords(isoDay(now))) + ", " + clock(now);
}

function closedWords(today) {
  if (!DATA.ends) { return say("floor not dated"); }
  if (today > DATA.ends) { return say("floor out of date"); }
  if (DATA.starts && today < DATA.starts) { return say("floor not yet", dayWords(DATA.starts)); }
  return "";
}
