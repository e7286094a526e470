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
}

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
    else { list.insertBefore(entry, old || null); added = true; }
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

async function post(form, button) {
  const body = new FormData(form, button);
  const list = form.closest(".side")?.querySelector("ol");
  const before = new Set([...(list?.children || [])].map((entry) => entry.id));
  document.body.setAttribute("aria-busy", "true");
  try {
    const r = await send(form, body);
    const fresh = parse(r.responseText);
    if (!fresh.body.dataset.seen) return lost();
    if (fresh.body.dataset.with !== document.body.dataset.with) return location.assign(r.responseURL);
    patch(fresh);
    if (list) follow(list, before);
    if (r.status === 200 && form.matches(".say")) form.reset();
  } catch {
    lost();
  } finally {
    document.body.removeAttribute("aria-busy");
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

document.addEventListener("submit", (e) => {
  e.preventDefault();
  if (document.body.hasAttribute("aria-busy")) return;
  post(e.target, e.submitter);
});

// Enter sends, Shift and Enter begin a new line.
document.addEventListener("keydown", (e) => {
  if (e.key !== "Enter" || e.shiftKey || e.isComposing || !e.target.matches(".say textarea")) return;
  e.preventDefault();
  e.target.form.requestSubmit();
});

// Photos that are dropped on a side or pasted into its text go into its picker, to
// be sent with whatever is written.
const carriesFiles = (e) => [...(e.dataTransfer || e.clipboardData).types].includes("Files");

function pick(side, files) {
  const chosen = new DataTransfer();
  for (const f of files) if (f.type.startsWith("image/") || /\.hei[cf]$/i.test(f.name)) chosen.items.add(f);
  if (!chosen.files.length) return;
  side.querySelector("input[type=file]").files = chosen.files;
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

new EventSource("/changes").onmessage = refresh;
