// The drawing: asks the server, shows what it answers, and says what was done on the page.
import { swap, find } from "./swap.js";
import { dragging, light, drawCut } from "./plan.js";
import { Solid } from "./solid.js";
import { photographs } from "./photo.js";

const $ = (id) => document.getElementById(id);
const board = $("board");
const PIECES = ["start", "dial", "bridge", "margin", "block"];
const MAKING = "The pack is being made.";
const state = {
  serial: Number(board.dataset.serial), version: Number(board.dataset.version), shape: -1, parts: -1,
  side: sessionStorage.getItem("side") ?? "dial", at: sessionStorage.getItem("at") ?? "",
  hour: null, draft: "", waiting: null, slipOf: "",
};
export { state };
const solid = new Solid($("solid"));
const photos = photographs(state);

async function get(address, signal) {
  const answer = await fetch(address, { cache: "no-store", signal });
  if (!answer.ok) throw new Error(await answer.text());
  return answer;
}

function say(text, kind = "") {
  const place = $("notice");
  place.textContent = text;
  place.className = kind;
}

function faulted(faults) {
  const place = $("fault");
  place.replaceChildren();
  for (const says of faults) {
    const line = document.createElement("p");
    line.textContent = says;
    place.append(line);
  }
  document.body.classList.toggle("faulted", faults.length > 0);
}

// What is told is put on the page; with another shape once its cut and solid are there too, in one
// frame, and then seen as `painted`. What this page changed itself it may change further at once;
// what was changed elsewhere only once it is shown.
function shown(told, own = false) {
  if (told.same) return null;
  if (own) known(told);
  if (told.version < state.version) return state.coming?.done;
  state.version = told.version;
  const coming = state.coming;
  if (told.shape !== state.shape) {
    state.shape = told.shape;
    state.coming = { told };
    state.coming.done = shaped(state.coming);
  } else if (coming) {
    coming.told = { ...told, pieces: { ...coming.told.pieces, ...told.pieces } };
  } else {
    laid(told);
    if (state.slipWaits) { state.slipWaits = false; slip(); }
    solid.rest();
  }
  return state.coming?.done;
}

function known(told) {
  state.serial = Math.max(state.serial, told.serial);
  state.parts = Math.max(state.parts, told.shape);
}

async function shaped(coming) {
  const { shape } = coming.told, hour = state.hour;
  const mine = () => { if (state.coming === coming) state.coming = null; };
  try {
    const scene = get(`/scene?shape=${shape}`);
    const [text, content, answer] = await Promise.all([cutText(shape), solid.expect(scene), scene]);
    mine();
    // another shape is there by now: what is told of it follows
    if (answer.headers.get("x-shape") !== String(shape) || coming.told.version < (state.placed ?? 0)) return;
    laid(coming.told);
    if (state.hour === hour) cutShown(text); else cutText().then(cutShown).catch(gone);
    solid.take("/scene", content);
    await new Promise(requestAnimationFrame);
    board.dataset.painted = String(coming.told.serial);
  } catch (error) {
    mine();
    [state.shape, state.version] = [-1, -1]; // asked for again with what is told next
    if (coming.told.version >= (state.placed ?? 0)) laid(coming.told);
    throw error;
  } finally {
    // what was painted is seen with the next frame; until then nothing is asked that would hold it up
    requestAnimationFrame(() => {
      if (state.slipWaits) { state.slipWaits = false; slip().catch(gone); }
      solid.load("/laid").catch(gone);
    });
  }
}

function laid(told) {
  const moved = told.serial !== state.slipSerial;
  state.slipSerial = told.serial;
  state.placed = told.version;
  known(told);
  let drawn = false;
  for (const name of PIECES) {
    if (name === "start" || told.pieces[name] === undefined) continue;
    const fresh = swap($(name), told.pieces[name]);
    drawn ||= fresh && (name === "dial" || name === "bridge");
  }
  if (drawn) photos.lay();
  if ($("papers")) $("papers").checked = state.papers !== false;
  if (!state.choosing) swap($("start"), told.pieces.start);
  const empty = !told.pieces.block.trim();
  board.classList.toggle("empty", empty || state.choosing === true);
  board.classList.toggle("no-shape", $("take")?.disabled && !$("margin").querySelector(".fault-slip .quiet"));
  if ($("notice").textContent === MAKING && $("margin").querySelector(".files")) say("The pack is made; its files stand above the findings.");
  if (moved || state.slipOf !== slipKey()) state.slipWaits = true;
  board.dataset.serial = String(told.serial);
  look();
  // it was told while the other side was up
  if (told.pieces[state.side] === undefined) sided().catch(gone);
  document.dispatchEvent(new CustomEvent("shown"));
}

const sided = () => get(`/news?version=-1&side=${state.side}`).then((a) => a.json()).then((told) => shown(told));

const slipKey = () => [state.serial, state.at, state.side, state.draft, state.form ?? ""].join("|");

async function slip(focus = false) {
  const key = slipKey();
  state.slipOf = key;
  const ask = new URLSearchParams({ side: state.side });
  if (state.draft) { ask.set("new", state.draft); ask.set("shape", state.form ?? ""); } else ask.set("at", state.at);
  const text = await (await get(`/slip?${ask}`)).text();
  if (state.slipOf !== key) return;
  if (state.draft && $("slip").querySelector(`[data-add="${CSS.escape(state.draft)}"]`) && !focus) return;
  swap($("slip"), text);
  const empty = [...$("slip").querySelectorAll("form input")].find((each) => !each.value);
  if (focus) ((focus === "empty" && empty) || $("slip").querySelector("form input, form select") || $("slip-title"))?.focus();
  look();
}

const cut = () => cutText().then(cutShown);

async function cutText(shape = state.shape) {
  const ask = state.hour === null ? `shape=${shape}` : `hour=${state.hour}`;
  return (await get(`/section?${ask}`)).text();
}

function cutShown(text) {
  swap($("section"), text);
  const drawn = $("section").querySelector("svg");
  if (state.hour === null && drawn) state.cutAt = parseFloat(drawn.getAttribute("aria-label").slice(10));
  else state.cutAt = state.hour;
  drawCut(state.cutAt, state.side);
}

function look() {
  board.dataset.side = state.side;
  for (const each of document.querySelectorAll("[data-at]")) {
    each.classList.toggle("chosen", each.matches("g") && each.dataset.at === state.at);
  }
  drawCut(state.cutAt ?? null, state.side);
}

export async function change(asked, quiet = false) {
  const answer = await fetch("/change", {
    method: "POST", headers: { "content-type": "application/json" },
    body: JSON.stringify({ serial: state.serial, shape: state.parts, side: state.side, ...asked }),
  });
  const told = await answer.json();
  const seen = told.pieces ? shown(told, !told.behind) : null;
  faulted(told.faults ?? []);
  if (told.behind) say(told.behind, "behind");
  else if (!told.faults && !quiet) say(told.did ?? "");
  return [!told.faults && !told.behind, seen];
}

let queue = Promise.resolve(), onTheWay = 0;
// Whether a change was taken, once it is shown; the next is sent as soon as this is answered.
export function send(asked, quiet) {
  onTheWay += 1;
  solid.stir();
  state.news?.abort(); // the answer tells them
  board.setAttribute("aria-busy", "true"); // until every change asked for is answered and shown
  const answered = queue.then(() => change(asked, quiet));
  queue = answered.catch(() => null);
  return answered.then(async ([ok, seen]) => { await seen; return ok; }).catch(gone).finally(() => {
    onTheWay -= 1;
    if (!onTheWay) board.removeAttribute("aria-busy");
  });
}

function gone(error) {
  say(`The bench does not answer: start nests bench again and take its new address. What was done is kept. (${error.message ?? error})`, "behind");
  return false;
}

async function follow() {
  for (;;) {
    try {
      await queue;
      state.news = new AbortController();
      const told = await (await get(`/news?version=${state.version}&side=${state.side}`, state.news.signal)).json();
      if (!told.same) {
        await queue;
        if (told.serial >= state.serial) {
          const before = state.serial;
          await shown(told);
          if (told.serial > before) say(`Changed on another page: ${told.did}.`, "behind");
        }
      }
    } catch (error) {
      if (error.name === "AbortError") continue;
      gone(error);
      state.version = -1;
      await new Promise((go) => setTimeout(go, 1500));
    }
  }
}

export function open(at, focus = true) {
  state.at = at;
  state.draft = "";
  waits("", []);
  sessionStorage.setItem("at", at);
  look();
  return slip(focus);
}

export function turn() {
  const held = document.activeElement?.closest?.("svg.plan [data-key]")?.dataset.key.replace(/^\w+ /, "");
  state.side = state.side === "dial" ? "bridge" : "dial";
  sessionStorage.setItem("side", state.side);
  look();
  slip();
  sided().then(() => {
    if (held) find(`${state.side} ${held}`)?.focus();
  });
  say(`The ${state.side} side looks up.`);
}

// names that were typed and are not on the sheet yet outlast a reload
function waits(at, names) {
  sessionStorage.setItem("waiting", JSON.stringify({ at, names }));
}

function begin(at) {
  if (state.draft !== at) { state.names = []; waits(at, []); }
  state.draft = at;
  state.form = at.endsWith("/rests") || at.endsWith("/keep_clear") ? "disc" : at.endsWith("/dial") ? "round" : "";
  return slip(true);
}

// what is typed

function fieldsOf(form) {
  const out = {};
  for (const each of form.querySelectorAll("input[name], select[name]")) {
    const place = each.closest("fieldset.place");
    out[place ? `${place.dataset.at}/${each.name}` : each.name] = each.value;
  }
  for (const each of form.querySelectorAll("[data-at]:is(input, select)")) out[each.dataset.at] = each.value;
  for (const place of form.querySelectorAll("fieldset.place")) {
    const at = place.dataset.at;
    if (out[`${at}/read`]) {
      for (const key of ["hour", "radius", "x", "y"]) delete out[`${at}/${key}`];
      continue;
    }
    delete out[`${at}/near`];
    const polar = out[`${at}/hour`] && out[`${at}/radius`];
    for (const key of polar ? ["x", "y"] : ["hour", "radius"]) delete out[`${at}/${key}`];
  }
  return out;
}

document.addEventListener("submit", (event) => {
  event.preventDefault();
  const form = event.target;
  if (form.dataset.add) {
    const at = form.dataset.add;
    send({ do: "add", at, fields: fieldsOf(form) }).then((ok) => {
      if (!ok) return;
      state.draft = "";
      if (state.names?.length) { next(at); return; }
      waits(at, []);
      slip().then(() => $("slip-title")?.focus());
    });
  } else if (form.dataset.do === "open") {
    begun({ do: "open", name: form.elements.name.value });
  } else if (form.dataset.do) {
    const asked = { do: form.dataset.do, fields: fieldsOf(form) };
    if (form.elements.family) { asked.family = form.elements.family.value; delete asked.fields.family; }
    begun(asked);
  }
});

// several names typed at once: the first is this slip's, the others wait for one of their own
function named(field) {
  const [first, ...others] = field.value.split(",").map((each) => each.trim()).filter(Boolean);
  if (!others.length) return;
  field.value = first;
  state.names = others;
  waits(state.draft, [first, ...others]);
  waiting();
}

function waiting() {
  const place = $("slip").querySelector("[data-waiting]");
  if (place) place.textContent = state.names?.length ? `Then: ${state.names.join(", ")}.` : "";
}

async function next(at) {
  const [name, ...others] = state.names;
  await begin(at);
  state.names = others;
  waits(at, [name, ...others]);
  const field = $("slip").querySelector('[data-at="/name"]');
  if (!field) return;
  field.value = name;
  waiting();
  $("slip").querySelector("form[data-add] fieldset.place [name=read], form[data-add] input:not([data-at='/name'])")?.focus();
}

async function begun(asked) {
  if (!await send(asked)) return;
  state.choosing = false;
  state.at = "";
  state.hour = null;
  swap($("start"), "");
  board.classList.remove("empty");
  await slip();
  $("slip-title")?.focus();
}

document.addEventListener("change", (event) => {
  const each = event.target;
  const form = each.closest("form");
  if (each.id === "bring") { bring(each); return; }
  if (each.id === "papers") { state.papers = each.checked; return; }
  if (form?.hasAttribute("data-say")) {
    send({ do: "say", [each.name]: each.value });
    return;
  }
  if (form?.dataset.add && each.dataset.at?.endsWith("/shape")) {
    state.form = each.value;
    $("slip").dataset.last = "";
    slip(true);
    return;
  }
  if (form?.dataset.add && each.dataset.at === "/name") named(each);
  if (!form?.hasAttribute("data-fields")) return;
  const place = each.closest("fieldset.place");
  if (each.dataset.span) return;
  if (each.name === "read" || each.name === "near") { readAs(place, each); return; }
  if (place) {
    const number = (name) => parseFloat(place.querySelector(`[name=${name}]`).value.replace(",", "."));
    const pair = each.name === "hour" || each.name === "radius" ? ["hour", "radius"] : ["x", "y"];
    const [first, second] = pair.map(number);
    if (Number.isFinite(first) && Number.isFinite(second)) taken(each, send({ do: "place", at: place.dataset.at, [pair[0]]: first, [pair[1]]: second }));
    else faulted([`${each.name} is '${each.value}'; a number is needed.`]);
  } else if (each.dataset.at) {
    taken(each, send({ do: "set", at: each.dataset.at, text: each.value }));
  }
});

function readAs(place, field) {
  const [read, near] = ["read", "near"].map((name) => place.querySelector(`[name=${name}]`));
  if (field === near && !read.value.trim()) return; // nothing was read yet that it could tell apart
  taken(field, send({ do: "read", at: place.dataset.at, text: read.value, near: near.value }));
}

// one distance more, put behind what was read
function spanAdded(button) {
  const place = button.closest("fieldset.place");
  const [mm, jaws, to] = ["mm", "jaws", "to"].map((name) => place.querySelector(`[data-span=${name}]`));
  const read = place.querySelector("[name=read]");
  if (!mm.value.trim()) { mm.focus(); return; }
  const spans = read.value.split(/,\s+/).filter((each) => / (from|over|between) /.test(each));
  read.value = [...spans, `${mm.value.trim().replace(",", ".")} ${jaws.value} ${to.value}`].join(", ");
  mm.value = "";
  mm.focus();
  if (spans.length && button.closest("form[data-fields]")) readAs(place, read);
}

// a field that was refused says so until it is taken
async function taken(field, answer) {
  const ok = await answer;
  const now = find(field.dataset.key) ?? field;
  now.toggleAttribute("aria-invalid", !ok);
  if (!ok) now.setAttribute("aria-invalid", "true");
}

async function bring(input) {
  const file = input.files[0];
  if (!file) return;
  try {
    const found = JSON.parse(await file.text());
    await begun({ do: "open", document: found });
  } catch {
    faulted(["The file is not JSON; a sheet or a recipe is needed."]);
  }
  input.value = "";
}

document.addEventListener("click", (event) => {
  const each = event.target.closest("button, [data-open]");
  if (!each) return;
  if (each.dataset.open !== undefined) open(each.dataset.open, each.closest(".unknown") ? "empty" : true);
  else if (each.dataset.new) begin(each.dataset.new);
  else if (each.dataset.remove) { remove(each.dataset.remove); }
  else if (each.dataset.do && each.tagName === "BUTTON") send({ do: each.dataset.do });
  else if (each.id === "take") { say(MAKING); fetch("/pack", { method: "POST", body: JSON.stringify({ papers: state.papers !== false }) }).catch(gone); }
  else if (each.id === "turn") turn();
  else if (each.id === "photo-open") photos.open();
  else if (each.dataset.mend) send({ do: "mend", ...JSON.parse(each.dataset.mend) });
  else if (each.dataset.looked) send({ do: "looked", at: each.dataset.looked });
  else if (each.dataset.family) send({ do: "say", plan: "", operation: each.dataset.make, family: each.dataset.family });
  else if (each.hasAttribute("data-span-add")) spanAdded(each);
  else if (each.dataset.hour) shift(Number(each.dataset.hour));
  else if (each.id === "help-button") $("help").showModal();
  else if (each.hasAttribute("data-close")) each.closest("dialog").close();
  else if (each.hasAttribute("data-leave")) {
    get("/start").then((a) => a.text()).then((text) => {
      state.choosing = true;
      swap($("start"), text);
      board.classList.add("empty");
      $("start").querySelector("input")?.focus();
    });
  }
});

async function remove(at) {
  const up = at.split("/").slice(0, -1).join("/").replace(/\/jewels$/, "");
  if (!await send({ do: "remove", at })) return;
  open(at === state.at || up.split("/").length < 3 ? "" : state.at, false).then(() => $("slip-title")?.focus());
}

function shift(by) {
  state.hour = ((state.cutAt ?? 3) + by + 12) % 12;
  cut();
}

document.addEventListener("keydown", (event) => {
  const typing = event.target.matches("input:not([type=checkbox]), select, textarea");
  const letter = event.key.toLowerCase();
  if ((event.ctrlKey || event.metaKey) && (letter === "z" || letter === "y") && !typing) {
    event.preventDefault();
    send({ do: letter === "y" || event.shiftKey ? "redo" : "undo" });
    return;
  }
  if (event.key === "Escape" && event.target.closest("#slip")) { // back to the thing on the plan
    const thing = find(`${state.side} ${state.at.replace(/^sheet:/, "")}`);
    (thing ?? document.querySelector(`#${state.side} [tabindex]`))?.focus();
    return;
  }
  if (typing || event.ctrlKey || event.metaKey || event.altKey || document.querySelector("dialog[open]")) return;
  const to = { s: "#slip button, #slip input", b: "#block select", p: `#${state.side} [tabindex]` }[letter];
  if (letter === "f") turn();
  else if (letter === "u") send({ do: "undo" });
  else if (letter === "r") send({ do: "redo" });
  else if (letter === "[") shift(-0.5);
  else if (letter === "]") shift(0.5);
  else if (event.key === "?") $("help").showModal();
  else if (to) document.querySelector(to)?.focus();
  else return;
  event.preventDefault();
});

for (const [on, off] of [["pointerover", "pointerout"], ["focusin", "focusout"]]) {
  document.addEventListener(on, (event) => {
    const each = event.target.closest?.("[data-light], [data-lights]");
    if (!each) return;
    const names = each.dataset.lights ? JSON.parse(each.dataset.lights) : [each.dataset.light];
    light(names);
    solid.light(names);
  });
  document.addEventListener(off, (event) => {
    if (event.target.closest?.("[data-light], [data-lights]")) { light([]); solid.light([]); }
  });
}

dragging(board, state, send, open);
for (const name of PIECES) $(name).dataset.last = $(name).innerHTML;
board.classList.toggle("empty", !$("block").textContent.trim());
look();
slip();
photos.lay();
sided().then(() => {
  const left = JSON.parse(sessionStorage.getItem("waiting") ?? "null");
  if (left?.names.length) { state.names = left.names; next(left.at); }
}).catch(gone).then(follow);
window.nestsBench = { state, send, find, solid };
