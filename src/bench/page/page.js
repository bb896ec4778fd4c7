// The page: asks for the book, shows what has changed, and tries things out.
import { patch, unmark } from "./patch.js";
import { show, available } from "./view.js";

const byId = (id) => document.getElementById(id);
const element = (name, words, className) => {
  const made = document.createElement(name);
  if (words !== undefined) made.textContent = words;
  if (className) made.className = className;
  return made;
};

let current = null; // the book as the plan gives it
let seen = 0; // the state of the program's page that is on this one; 0 where something else is
let knobs = null; // what can be tried
let digests = new Map(); // what is on the page, part by part
let changes = []; // what is to be tried

function part(given) {
  const section = element("section", undefined, "part");
  section.id = given.id;
  section.setAttribute("aria-labelledby", `${given.id}-title`);
  return section;
}

// Markup that was made and escaped by the program itself, not yet on the page.
function parsed(section, html) {
  const box = document.createElement("template");
  box.innerHTML = html;
  section.append(box.content);
  return section;
}

// One part: what is new in it is marked, and nothing if it is on the page for the first time.
function showPart(given, old) {
  if (!old) return parsed(part(given), given.html);
  unmark(old);
  // A part that the program has not sent again is the one that is here.
  if (given.html !== undefined && digests.get(given.id) !== given.digest) {
    patch(old, parsed(part(given), given.html));
  }
  return old;
}

function showBook(book) {
  document.title = `${book.name}: at the bench`;
  const main = byId("main");
  const kept = new Map([...main.children].map((child) => [child.id, child]));
  const sections = book.parts.map((given) => showPart(given, kept.get(given.id)));
  // What is put in again is laid out again, so that it stays if it can.
  const same = sections.length === main.children.length && sections.every((s, i) => s === main.children[i]);
  if (!same) main.replaceChildren(...sections);
  digests = new Map(book.parts.map((given) => [given.id, given.digest]));
  if (same) return;
  byId("contents").replaceChildren(...book.parts.map((given) => {
    const link = element("a", given.title);
    link.href = `#${given.id}`;
    const item = element("li");
    item.append(link);
    return item;
  }));
}

const isOpen = (id) => byId(id).open;
const got = async (path) => (await fetch(path)).json();

// The view in space and what can be tried are asked for only while they are looked at.
async function showSpace(scene) {
  if (!isOpen("space") || !current) return;
  if (!available()) {
    byId("view").replaceWith(element("p", "This browser draws nothing in space; the views of the book show the same."));
    return;
  }
  show(byId("view"), scene || await got("scene"), byId("legend"));
}

async function showKnobs() {
  if (!isOpen("try") || !current) return;
  knobs = await got("knobs");
  fillKnobs();
}

const counted = (counts) => Object.entries(counts).map(([word, count]) => `${word} ${count}`).join(", ");

function showProblems(problems) {
  const box = byId("problems");
  box.replaceChildren();
  if (problems.length === 0) return;
  box.append(element("p", "The plan on the disk is not understood. Below is the last one that was.", "stop"));
  const list = element("ul");
  for (const problem of problems) {
    const place = problem.line ? `${problem.file}, line ${problem.line}, column ${problem.column}: ` : "";
    const item = element("li");
    item.append(element("b", place), document.createTextNode(problem.message));
    for (const help of problem.help || []) item.append(element("div", help, "do"));
    list.append(item);
  }
  box.append(list);
}

async function refresh() {
  const answer = await got(`book?seen=${seen}`);
  if (answer.number < seen) return;
  showProblems(answer.problems);
  if (!answer.book) {
    byId("state").textContent = "No plan has been understood yet.";
    return;
  }
  current = answer.book;
  showBook(current);
  seen = answer.number;
  byId("state").textContent = `${current.name}, plan ${current.edition}: ${counted(current.counts)}`;
  document.documentElement.dataset.number = answer.number;
  await showSpace();
  await showKnobs();
}

function options(select, values) {
  const chosen = select.value;
  select.replaceChildren(...values.map(([value, words]) => {
    const option = element("option", words);
    option.value = value;
    return option;
  }));
  if (values.some(([value]) => value === chosen)) select.value = chosen;
}

function fillKnobs() {
  const portNames = knobs.ports.map((p, i) => [String(i), `${p.component}.${p.port}`]);
  options(byId("port"), portNames);
  const lines = knobs.lines.map((l) => [l.id, `${l.id}, ${l.of}`]);
  options(byId("size-line"), lines);
  options(byId("short-line"), lines);
  options(byId("blocked"), knobs.components.map((c) => [c, c]));
  fillSizes();
}

function fillSizes() {
  if (!knobs) return;
  const line = knobs.lines.find((l) => l.id === byId("size-line").value);
  options(byId("size"), (line ? line.sizes : []).map((s) => [s, s]));
}

const number = (id) => Number(byId(id).value) || 0;

const made = {
  port() {
    const port = knobs.ports[Number(byId("port").value)];
    const by = ["by-x", "by-y", "by-z"].map(number);
    return [{ kind: "port", component: port.component, port: port.port, by_mm: by },
      `${port.component}.${port.port} by ${by.join(", ")} mm`];
  },
  size() {
    const [line, size] = [byId("size-line").value, byId("size").value];
    return [{ kind: "size", line, size }, `${line} in size ${size}`];
  },
  short() {
    const [line, by] = [byId("short-line").value, number("short-by")];
    return [{ kind: "short", line, by_mm: by }, `${line} cut ${by} mm short`];
  },
  blocked() {
    const [component, share] = [byId("blocked").value, number("share")];
    return [{ kind: "blocked", component, share: share / 100 }, `${component} blocked ${share} %`];
  },
  hot() {
    return [{ kind: "hot", by_k: number("hot-by") }, `hotter by ${number("hot-by")} K`];
  },
};

function listChanges() {
  byId("changes").replaceChildren(...changes.map(([, words], index) => {
    const item = element("li", `${words} `);
    const drop = element("button", "take away");
    drop.type = "button";
    drop.setAttribute("aria-label", `take away: ${words}`);
    drop.onclick = () => { changes.splice(index, 1); listChanges(); };
    item.append(drop);
    return item;
  }));
}

async function ask(path) {
  const answer = await fetch(path, {
    method: "POST",
    headers: { "content-type": "application/json" },
    body: JSON.stringify(changes.map(([change]) => change)),
  });
  const told = await answer.json().catch(() => ({ message: "this was not understood" }));
  if (!answer.ok) throw new Error(told.message);
  return told;
}

function outcome(told) {
  const box = byId("outcome");
  box.replaceChildren(element("p", `now ${counted(told.before)}; then ${counted(told.after)}`));
  for (const [title, list] of [["Worse", told.worse], ["Better", told.better]]) {
    if (list.length === 0) continue;
    box.append(element("h4", `${title} (${list.length})`));
    const items = element("ul");
    for (const finding of list.slice(0, 20)) {
      items.append(element("li", `${finding.verdict}: ${finding.where}: ${finding.message}`));
    }
    if (list.length > 20) items.append(element("li", `and ${list.length - 20} more`));
    box.append(items);
  }
}

const failed = (error) => byId("outcome").replaceChildren(element("p", error.message, "stop"));

byId("what-if").addEventListener("submit", async (event) => {
  event.preventDefault();
  try {
    const told = await ask("what-if");
    outcome(told);
    seen = 0;
    showBook(told.book);
    await showSpace(told.scene);
    byId("state").textContent = "This is what if: the plan is as it was.";
  } catch (error) { failed(error); }
});
byId("back").addEventListener("click", () => {
  changes = [];
  listChanges();
  byId("outcome").replaceChildren();
  refresh();
});
byId("write").addEventListener("click", async () => {
  if (changes.length === 0) return;
  if (!window.confirm(`Write into the plan: ${changes.map(([, words]) => words).join("; ")}?`)) return;
  try {
    await ask("write");
    changes = [];
    listChanges();
    byId("outcome").replaceChildren(element("p", "The plan is written."));
  } catch (error) { failed(error); }
});
document.querySelectorAll("[data-add]").forEach((button) => {
  button.addEventListener("click", () => { changes.push(made[button.dataset.add]()); listChanges(); });
});
byId("size-line").addEventListener("change", fillSizes);
byId("space").addEventListener("toggle", () => showSpace());
byId("try").addEventListener("toggle", showKnobs);

const news = new EventSource("news");
news.onmessage = refresh;
news.onerror = () => { byId("state").textContent = "hosewright has stopped; what is shown is the last it said."; };
refresh();
