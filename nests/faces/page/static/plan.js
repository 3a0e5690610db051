// The plan under hand: what is dragged, what is moved by the arrow keys, what is lit.

export function light(names) {
  const wanted = new Set(names);
  for (const each of document.querySelectorAll("[data-light]")) {
    each.classList.toggle("lit", wanted.has(each.dataset.light));
  }
}

export function drawCut(hour, side) {
  for (const svg of document.querySelectorAll("svg.plan")) {
    const place = svg.querySelector("[data-cut]");
    if (hour === null || Number.isNaN(hour)) { place.replaceChildren(); continue; }
    const text = [...svg.querySelectorAll(".hours text")];
    const at = (h) => { // where an hour stands is read off the ring, so that nothing is mirrored here
      const low = text[(Math.floor(h) + 11) % 12], high = text[(Math.floor(h) + 12) % 12];
      const point = (t) => Math.atan2(t.y.baseVal[0].value - 1.6, t.x.baseVal[0].value);
      let turn = point(high) - point(low);
      turn -= 2 * Math.PI * Math.round(turn / (2 * Math.PI));
      return point(low) + turn * (h - Math.floor(h));
    };
    const turn = at(hour), x = Math.cos(turn), y = Math.sin(turn);
    const line = (d, name) => {
      const made = document.createElementNS("http://www.w3.org/2000/svg", "path");
      made.setAttribute("d", d);
      made.setAttribute("class", name);
      return made;
    };
    place.replaceChildren(line(`M${-88 * x} ${-88 * y}L${88 * x} ${88 * y}`, "cut-line"),
      line(`M${80 * x} ${80 * y}L${88 * x} ${88 * y}M${-80 * x} ${-80 * y}L${-88 * x} ${-88 * y}`, "cut-end"));
  }
}

function onPaper(svg, event) {
  const box = svg.getBoundingClientRect();
  const scale = 200 / Math.min(box.width, box.height);
  return [(event.clientX - box.left - box.width / 2) * scale, (event.clientY - box.top - box.height / 2) * scale];
}

export function dragging(board, state, send, open) {
  let held = null;

  board.addEventListener("pointerdown", (event) => {
    const svg = event.target.closest("svg.plan");
    if (!svg || event.button !== 0) return;
    const thing = event.target.closest("[data-at]");
    if (!thing && state.draft) { pointed(svg, event); return; }
    if (!thing) return;
    const [x, y] = onPaper(svg, event);
    held = { svg, thing, x, y, moved: false, scale: Number(svg.dataset.scale), pointer: event.pointerId, busy: false };
    thing.focus({ preventScroll: true });
    svg.setPointerCapture(event.pointerId);
    event.preventDefault();
  });

  board.addEventListener("pointermove", (event) => {
    if (!held) return;
    const [x, y] = onPaper(held.svg, event);
    if (!held.moved && Math.hypot(x - held.x, y - held.y) < 1.2) return;
    held.moved = true;
    held.dx = x - held.x;
    held.dy = y - held.y;
    const thing = current(held);
    if (held.thing.dataset.goals) { thing?.setAttribute("transform", `translate(${held.dx} ${held.dy})`); near(held, x, y); }
    else if (held.thing.dataset.place) thing?.setAttribute("transform", `translate(${held.dx} ${held.dy})`);
  });

  const let_go = (event) => {
    if (!held) return;
    const was = held;
    held = null;
    if (!was.moved) { open(was.thing.dataset.at); return; }
    current(was)?.removeAttribute("transform");
    was.svg.querySelectorAll(".goal").forEach((each) => each.remove());
    if (event.type === "pointercancel") return;
    if (was.thing.dataset.goals) {
      const goal = nearest(was, ...onPaper(was.svg, event));
      if (goal && goal !== was.thing.dataset.under) send({ do: "set", at: `${was.thing.dataset.at}/under`, text: goal });
      return;
    }
    if (!was.thing.dataset.place) return;
    send({
      do: "place", at: was.thing.dataset.place,
      x: Number(was.thing.dataset.x) + was.dx / was.scale, y: Number(was.thing.dataset.y) - was.dy / was.scale,
    });
  };
  board.addEventListener("pointerup", let_go);
  board.addEventListener("pointercancel", let_go);

  const current = (h) => h.svg.isConnected ? h.thing : document.querySelector(`[data-key="${CSS.escape(h.thing.dataset.key)}"]`);
  const goals = (h) => JSON.parse(h.thing.dataset.goals);
  const nearest = (h, x, y) => goals(h).map(([name, a, b]) => [Math.hypot(a - x, b - y), name]).sort((p, q) => p[0] - q[0])[0]?.[1];

  function near(h, x, y) {
    const wanted = nearest(h, x, y);
    h.svg.querySelectorAll(".goal").forEach((each) => each.remove());
    for (const [name, a, b] of goals(h)) {
      const ring = document.createElementNS("http://www.w3.org/2000/svg", "circle");
      ring.setAttribute("class", name === wanted ? "goal wanted" : "goal");
      ring.setAttribute("cx", a);
      ring.setAttribute("cy", b);
      ring.setAttribute("r", name === wanted ? 6 : 4);
      h.svg.append(ring);
    }
  }

  function pointed(svg, event) {
    const [x, y] = onPaper(svg, event);
    const scale = Number(svg.dataset.scale);
    const place = document.querySelector("#slip form[data-add] fieldset.place");
    if (!place) return;
    place.querySelector("[name=x]").value = (x / scale).toFixed(2);
    place.querySelector("[name=y]").value = (-y / scale).toFixed(2);
    place.querySelector("[name=hour]").value = "";
    place.querySelector("[name=radius]").value = "";
    const read = place.querySelector("[name=read]");
    if (read) read.value = "";
    place.querySelector("[name=x]").focus();
  }

  const going = new Map();
  const STEPS = { ArrowLeft: [-1, 0], ArrowRight: [1, 0], ArrowUp: [0, 1], ArrowDown: [0, -1] };
  board.addEventListener("keydown", (event) => {
    const thing = event.target.closest("svg.plan [data-at]");
    if (!thing) return;
    const step = STEPS[event.key];
    if (step) {
      event.preventDefault();
      if (thing.dataset.goals) { jump(thing, step); return; }
      if (!thing.dataset.place) return;
      const by = event.shiftKey ? 0.1 : 0.01;
      const key = thing.dataset.key;
      const now = document.querySelector(`[data-key="${CSS.escape(key)}"]`) ?? thing;
      // from where it was asked to be: the plan may still show an answer that is older
      const from = going.get(key) ?? { x: Number(now.dataset.x), y: Number(now.dataset.y) };
      const to = { x: from.x + by * step[0], y: from.y + by * step[1] };
      going.set(key, to);
      send({ do: "place", at: now.dataset.place, ...to }, true).finally(() => {
        if (going.get(key) === to) going.delete(key);
      });
    } else if (event.key === "Enter" || event.key === " ") {
      event.preventDefault();
      open(thing.dataset.at);
    } else if (event.key === "Delete" || event.key === "Backspace") {
      event.preventDefault();
      const next = thing.parentElement.querySelector("[data-at]:not(.chosen)");
      send({ do: "remove", at: thing.dataset.at }).then(() => next?.isConnected && next.focus());
    }
  });

  function jump(pole, step) {
    const some = goals({ thing: pole });
    const here = some.findIndex(([name]) => name === pole.dataset.under);
    const next = some[(here + (step[0] + step[1] > 0 ? 1 : some.length - 1)) % some.length];
    send({ do: "set", at: `${pole.dataset.at}/under`, text: next[0] });
  }
}
