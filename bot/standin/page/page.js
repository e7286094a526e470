// Saves reloads: posts forms in place, and brings the page in line with a newly
// served one whenever something has happened. Everything works without it.
"use strict";

const parse = (text) => new DOMParser().parseFromString(text, "text/html");

// patch brings the live parts of the page in line with a newly served page,
// unless that page is older than this one.
function patch(fresh) {
  const seen = Number(fresh.body.dataset.seen);
  if (seen < Number(document.body.dataset.seen)) return;
  document.body.dataset.seen = seen;
  for (const part of document.querySelectorAll("[data-live]")) {
    const now = fresh.getElementById(part.id);
    if (part.tagName === "OL") merge(part, now);
    else if (part.innerHTML !== now.innerHTML) part.replaceChildren(...now.childNodes);
  }
  showWith();
  signs();
}

// showWith brings the customer one writes as into sight in the row of customers, which is
// one line however many there are; a wheel moves it too.
const people = document.getElementById("people");

function showWith() {
  const at = people.querySelector("[aria-current]");
  if (people.scrollWidth > people.clientWidth) people.scrollLeft = at.offsetLeft - people.offsetLeft - (people.clientWidth - at.offsetWidth) / 2;
}

people.addEventListener("wheel", (e) => {
  if (people.scrollWidth <= people.clientWidth || e.deltaX) return;
  people.scrollLeft += e.deltaY;
  e.preventDefault();
});

// merge changes only the entries that differ, so that a screen reader hears what
// is new and the keyboard stays where it was.
function merge(list, fresh) {
  const at = focusIn(list);
  let added = false;
  const entries = [...fresh.children];
  entries.forEach((entry, i) => {
    const old = list.children[i];
    if (old && old.outerHTML === entry.outerHTML) return;
    if (old && old.id === entry.id) old.replaceWith(entry);
    else {
      list.insertBefore(entry, old || null);
      added = true;
      if (!entry.matches(".person")) unseen.get(list).add(entry.id);
    }
  });
  while (list.children.length > entries.length) list.lastElementChild.remove();
  if (added && !list.offsetParent) markNew(list);
  if (at && !list.contains(document.activeElement)) restoreFocus(list, at);
}

// focusIn is where in a list the keyboard is, null if elsewhere.
function focusIn(list) {
  const key = document.activeElement;
  return list.contains(key) ? { entry: key.closest("li").id, index: keysOf(key.closest("li")).indexOf(key) } : null;
}

const keysOf = (entry) => [...entry.querySelectorAll("button, a")];

// restoreFocus puts the keyboard on the key it was on, or, if that is gone, on the
// first key of the last question.
function restoreFocus(list, at) {
  const same = document.getElementById(at.entry);
  const key = (same && keysOf(same)[at.index]) || [...list.querySelectorAll("li")].reverse().flatMap(keysOf)[0];
  (key || list.closest(".scroll")).focus({ preventScroll: true });
}

// markNew tells on the tab of a side out of sight that something has come.
function markNew(list) {
  const more = document.querySelector("#to-" + list.id.replace("log-", "") + " .more");
  more.hidden = false;
}

// refresh fetches the page again; asked several times meanwhile, once more.
let fetching = false, again = false;
async function refresh() {
  again = true;
  if (fetching) return;
  fetching = true;
  try {
    while (again) {
      again = false;
      const r = await fetch(location.href);
      if (r.ok) patch(parse(await r.text()));
    }
  } catch {
    lost();
  } finally {
    fetching = false;
  }
}

function lost() {
  document.getElementById("problem").textContent = "The desk has gone away. Start it again and reload this page.";
}

// follow shows what one's own act led to: its end, where the next keys are, or the
// beginning of the answer, if there is more of it than fits.
function follow(list, before) {
  const box = list.closest(".scroll");
  box.scrollTop = 0; // the end: the log is turned round
  const first = [...list.children].find((entry) => !before.has(entry.id) && !entry.matches(".person"));
  if (first && first.offsetTop < list.offsetTop + list.offsetHeight - box.clientHeight) first.scrollIntoView({ block: "start" });
}

// post sends what a form held, shows what came of it, and, if nothing did, has it put
// back.
async function post(form, body, putBack) {
  const list = form.closest(".side")?.querySelector("ol");
  const before = new Set([...(list?.children || [])].map((entry) => entry.id));
  try {
    const r = await send(form, body);
    const fresh = parse(r.responseText);
    if (r.status !== 200) putBack();
    if (!fresh.body.dataset.seen) return lost();
    if (fresh.body.dataset.with !== document.body.dataset.with) return location.assign(r.responseURL + "#say-customer");
    patch(fresh);
    if (list) follow(list, before);
    signs();
  } catch {
    putBack();
    lost();
  }
}

// send posts a form and shows how much of its photos has gone. (fetch does not
// tell, so it is not used here.)
function send(form, body) {
  return new Promise((done, failed) => {
    const r = new XMLHttpRequest();
    const bar = document.createElement("progress");
    bar.className = "bar";
    bar.setAttribute("aria-label", "How much of the photos has gone");
    if ([...body.values()].some((v) => v instanceof File && v.size > 0)) {
      form.append(bar);
      r.upload.onprogress = (e) => { if (e.lengthComputable) { bar.max = e.total; bar.value = e.loaded; } };
    }
    r.onloadend = () => { bar.remove(); r.status ? done(r) : failed(); };
    r.open("POST", form.action);
    r.send(body);
  });
}

// What is written is taken out of its box as it is sent, so that one can write on at
// once; messages go one after the other. Whatever else is pressed meanwhile is not
// done: what it was pressed on may have changed.
let turn = Promise.resolve(), waiting = 0;

document.addEventListener("submit", (e) => {
  e.preventDefault();
  const form = e.target, says = form.matches(".say");
  if (waiting && !says) return;
  const body = new FormData(form, e.submitter);
  const putBack = says ? emptied(form) : () => {};
  waiting++;
  document.body.setAttribute("aria-busy", "true");
  turn = turn.then(() => post(form, body, putBack)).finally(() => {
    if (--waiting === 0) document.body.removeAttribute("aria-busy");
  });
});

// emptied empties a form and returns what puts everything back, unless something else
// stands there by then.
function emptied(form) {
  const [text, files, asFile] = ["text", "photos", "as-file"].map((name) => form.elements[name]);
  const held = { text: text.value, files: files.files, asFile: asFile.checked };
  form.reset();
  files.files = new DataTransfer().files;
  showPicked(form);
  return () => {
    if (text.value || files.files.length) return;
    text.value = held.text;
    files.files = held.files;
    asFile.checked = held.asFile;
    showPicked(form);
  };
}

// Enter sends, Shift and Enter begin a new line. The press is a key and a character;
// without both held back a line break would stay in the emptied box.
for (const kind of ["keydown", "keypress"]) {
  document.addEventListener(kind, (e) => {
    if (e.key !== "Enter" || e.shiftKey || e.isComposing || !e.target.matches(".say textarea")) return;
    e.preventDefault();
    if (kind === "keydown") e.target.form.requestSubmit();
  });
}

// Photos that are dropped on a side or pasted into its text go into its picker, to
// be sent with whatever is written.
const carriesFiles = (e) => [...(e.dataTransfer || e.clipboardData).types].includes("Files");

function pick(side, files) {
  const chosen = new DataTransfer();
  for (const f of files) if (f.type.startsWith("image/") || /\.hei[cf]$/i.test(f.name)) chosen.items.add(f);
  if (!chosen.files.length) return;
  side.querySelector("input[type=file]").files = chosen.files;
  showPicked(side.querySelector(".say"));
  side.querySelector(".send").focus();
}

for (const side of document.querySelectorAll(".side:has(.say)")) {
  const mark = (on) => side.classList.toggle("dropping", on);
  side.addEventListener("dragover", (e) => { if (carriesFiles(e)) { e.preventDefault(); mark(true); } });
  side.addEventListener("dragleave", (e) => { if (!side.contains(e.relatedTarget)) mark(false); });
  side.addEventListener("drop", (e) => {
    mark(false);
    if (!carriesFiles(e)) return;
    e.preventDefault();
    pick(side, e.dataTransfer.files);
  });
  side.addEventListener("paste", (e) => {
    if (!carriesFiles(e)) return;
    e.preventDefault();
    pick(side, e.clipboardData.files);
  });
}

// showPicked shows the photos that are about to be sent, small, each with its name.
// What the browser cannot draw has its name alone.
function showPicked(form) {
  const list = form.querySelector(".picked");
  const files = [...form.elements.photos.files];
  list.hidden = !files.length;
  list.replaceChildren(...files.map((file) => {
    const item = document.createElement("li");
    const canvas = document.createElement("canvas");
    item.append(canvas, file.name);
    canvas.setAttribute("aria-hidden", "true");
    createImageBitmap(file, { resizeHeight: 72 }).then((small) => {
      [canvas.width, canvas.height] = [small.width, small.height];
      canvas.getContext("2d").drawImage(small, 0, 0);
    }).catch(() => canvas.remove());
    return item;
  }));
}

document.addEventListener("change", (e) => { if (e.target.matches(".say input[type=file]")) showPicked(e.target.form); });

// Below what is being read stands how much has come since, or that buttons wait there.
// A press leads to it; nothing is scrolled away by itself.
const unseen = new Map();

function signs() {
  for (const side of document.querySelectorAll(".side:has(.scroll)")) sign(side);
}

function sign(side) {
  const box = side.querySelector(".scroll"), place = side.querySelector(".below");
  if (!box.offsetParent) return;
  const end = box.getBoundingClientRect().bottom, news = unseen.get(side.querySelector("ol"));
  for (const id of news) {
    const entry = document.getElementById(id);
    if (!entry || entry.getBoundingClientRect().top < end - 24) news.delete(id);
  }
  const keys = side.querySelector("li:last-child .said form");
  const hidden = keys && keys.getBoundingClientRect().bottom > end + 8;
  const words = news.size ? `${news.size} newer below` : hidden ? "buttons below" : "";
  if (place.textContent === words) return;
  place.ariaLive = news.size ? "polite" : "off";
  if (!words) {
    if (place.contains(document.activeElement)) box.focus({ preventScroll: true });
    return place.replaceChildren();
  }
  const key = place.firstChild || document.createElement("button");
  key.type = "button";
  key.textContent = words;
  place.append(key);
}

for (const side of document.querySelectorAll(".side:has(.scroll)")) {
  const box = side.querySelector(".scroll"), list = side.querySelector("ol");
  unseen.set(list, new Set());
  box.addEventListener("scroll", () => sign(side), { passive: true });
  side.querySelector(".below").addEventListener("click", () => {
    const first = [...list.children].find((entry) => unseen.get(list).has(entry.id));
    if (first) first.scrollIntoView({ block: "start" });
    else box.scrollTop = 0;
    sign(side);
  });
}
addEventListener("resize", signs);
addEventListener("resize", showWith);
signs();
showWith();

// On a phone the clock, the customers, and what else can be sent are folded away
// behind a key each.
for (const key of document.querySelectorAll(".unfold")) {
  const fold = (on) => {
    for (const id of key.dataset.folds.split(" ")) document.getElementById(id).classList.toggle("folded", on);
    key.ariaExpanded = String(!on);
  };
  key.hidden = false;
  key.addEventListener("click", () => fold(key.ariaExpanded === "true"));
  fold(true);
}

new EventSource("/changes").onmessage = refresh;
