// The photograph: brought, turned by two clicks, laid under the plan.
const $ = (id) => document.getElementById(id);

export function photographs(state) {
  const canvas = $("photo-canvas"), pen = canvas.getContext("2d");
  let picture = null, points = [], mark = [0.5, 0.5];

  async function bitmap() {
    const answer = await fetch(`/photo/${state.side}`, { cache: "no-store" });
    return answer.status === 200 ? createImageBitmap(await answer.blob()) : null;
  }

  function draw() {
    if (!picture) { canvas.width = canvas.height = 1; return; }
    const small = Math.min(1, 460 / Math.max(picture.width, picture.height));
    canvas.width = picture.width * small;
    canvas.height = picture.height * small;
    pen.drawImage(picture, 0, 0, canvas.width, canvas.height);
    for (const [x, y, word] of [...points.map((p, k) => [...p, String(k + 1)]), [...mark, ""]]) {
      pen.strokeStyle = word ? "#fff" : "#000";
      pen.lineWidth = 4;
      for (let k = 0; k < 2; k += 1) {
        pen.beginPath();
        pen.moveTo(x * canvas.width - 9, y * canvas.height);
        pen.lineTo(x * canvas.width + 9, y * canvas.height);
        pen.moveTo(x * canvas.width, y * canvas.height - 9);
        pen.lineTo(x * canvas.width, y * canvas.height + 9);
        pen.stroke();
        pen.strokeStyle = word ? "#a93413" : "#fff";
        pen.lineWidth = 1.6;
      }
      if (word) { pen.font = "bold 15px sans-serif"; pen.fillStyle = "#a93413"; pen.fillText(word, x * canvas.width + 9, y * canvas.height - 6); }
    }
  }

  function say(text) { $("photo-says").textContent = text; }

  function click(x, y) {
    if (!picture) return;
    points = points.length === 2 ? [[x, y]] : [...points, [x, y]];
    $("photo-lay").disabled = points.length < 2;
    say(points.length < 2 ? "Now the opposite point of the rim." : "Both points are set; lay it under, or click again.");
    draw();
  }

  canvas.addEventListener("click", (event) => {
    const box = canvas.getBoundingClientRect();
    click((event.clientX - box.left) / box.width, (event.clientY - box.top) / box.height);
  });
  canvas.addEventListener("keydown", (event) => {
    const step = { ArrowLeft: [-1, 0], ArrowRight: [1, 0], ArrowUp: [0, -1], ArrowDown: [0, 1] }[event.key];
    if (step) {
      const by = event.shiftKey ? 0.02 : 0.002;
      mark = mark.map((each, k) => Math.max(0, Math.min(1, each + step[k] * by)));
      draw();
    } else if (event.key === "Enter") click(...mark);
    else return;
    event.preventDefault();
  });

  async function answered(answer) {
    const told = await answer.json();
    if (told.faults) say(told.faults.join(" "));
    return !told.faults;
  }
  const json = (address, asked) => fetch(address, { method: "POST", headers: { "content-type": "application/json" }, body: JSON.stringify(asked) });

  $("photo-file").addEventListener("change", async (event) => {
    const file = event.target.files[0];
    if (!file) return;
    say("Reading it ...");
    if (!await answered(await fetch(`/photo/${state.side}`, { method: "POST", body: file }))) return;
    await show();
    say("Click a point of the rim whose hour you know.");
  });
  $("photo-lay").addEventListener("click", async () => {
    const asked = { points: points.map(([x, y]) => [x * picture.width, y * picture.height]), hour: parseFloat($("photo-hour").value.replace(",", ".")) };
    if (await answered(await json(`/photo/${state.side}/lay`, asked))) { $("photo-dialog").close(); lay(true); }
  });
  $("photo-drop").addEventListener("click", async () => {
    await json(`/photo/${state.side}/drop`, {});
    picture = null;
    points = [];
    draw();
    lay(true);
    say("It is taken away.");
  });

  async function show() {
    picture = await bitmap();
    points = [];
    $("photo-lay").disabled = true;
    draw();
  }

  // under the plan: laid anew whenever the plan is drawn anew
  const known = {};
  async function lay(anew = false) {
    for (const side of ["dial", "bridge"]) {
      if (anew || !(side in known)) known[side] = await (await fetch(`/photo/${side}/laid`, { cache: "no-store" })).json();
      const told = known[side];
      const place = document.getElementById(`photo-${side}`), svg = place?.closest("svg");
      if (!place) continue;
      if (!told.laid) { place.removeAttribute("href"); continue; }
      const mm = Number(svg.dataset.scale), { scale, x, y, turn, wide, high } = told.laid;
      place.setAttribute("href", `/photo/${side}?${told.laid.version}`);
      place.setAttribute("width", wide * scale * mm);
      place.setAttribute("height", high * scale * mm);
      place.setAttribute("x", (-wide * scale * mm) / 2);
      place.setAttribute("y", (-high * scale * mm) / 2);
      place.setAttribute("transform", `translate(${x * mm} ${-y * mm}) rotate(${turn})`);
      svg.classList.add("over-photo");
    }
  }

  return { lay, open: async () => { $("photo-dialog").showModal(); await show(); say(picture ? "Click a point of the rim whose hour you know." : "Bring one first."); } };
}
