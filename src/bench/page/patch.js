// Makes what stands on the page into what the program gives now, and touches nothing else: what has not changed is not
// laid out again, and what the reader has opened stays open.

const MARK = "changed";

function mark(node) {
  const element = node.nodeType === Node.ELEMENT_NODE ? node : node.parentElement;
  if (element) element.classList.add(MARK);
}

// Takes away the marks of the change before.
export function unmark(root) {
  const marked = root.querySelectorAll(`.${MARK}`);
  [root, ...marked].forEach((element) => {
    element.classList.remove(MARK);
    if (element.getAttribute("class") === "") element.removeAttribute("class");
  });
}

function attributes(old, made) {
  for (const { name, value } of made.attributes) {
    if (old.getAttribute(name) !== value) old.setAttribute(name, value);
  }
  for (const name of old.getAttributeNames()) {
    const opened = name === "open" && old.nodeName === "DETAILS";
    if (!made.hasAttribute(name) && !opened) old.removeAttribute(name);
  }
}

// Children that are the same at both ends stay; those between are put in the place of the old ones.
function children(old, made) {
  const [before, after] = [[...old.childNodes], [...made.childNodes]];
  if (before.length === after.length) {
    before.forEach((node, index) => node.isEqualNode(after[index]) || patch(node, after[index]));
    return;
  }
  const least = Math.min(before.length, after.length);
  let [head, tail] = [0, 0];
  while (head < least && before[head].isEqualNode(after[head])) head += 1;
  while (tail < least - head && before.at(-1 - tail).isEqualNode(after.at(-1 - tail))) tail += 1;
  before.slice(head, before.length - tail).forEach((node) => node.remove());
  const next = before[before.length - tail] || null;
  after.slice(head, after.length - tail).forEach((node) => {
    old.insertBefore(node, next);
    if (node.textContent.trim()) mark(node);
  });
}

export function patch(old, made) {
  if (old.nodeName !== made.nodeName) {
    const other = old.textContent !== made.textContent;
    old.replaceWith(made);
    if (other) mark(made);
  } else if (old.nodeType === Node.ELEMENT_NODE) {
    attributes(old, made);
    children(old, made);
  } else if (old.nodeValue !== made.nodeValue) {
    old.nodeValue = made.nodeValue;
    mark(old);
  }
}
