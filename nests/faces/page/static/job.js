// The job: which work plan, and what came of it.
import { swap } from "./swap.js";

const place = document.getElementById("job");
place.dataset.last = place.innerHTML;
let version = Number(place.dataset.version);

async function post(address, asked) {
  const answer = await fetch(address, {
    method: "POST", headers: { "content-type": "application/json" }, body: JSON.stringify(asked ?? {}),
  });
  const told = await answer.json();
  document.getElementById("fault").textContent = (told.faults ?? []).join(" ");
}

document.addEventListener("submit", (event) => {
  event.preventDefault();
  post("/job", { plan: event.target.elements.plan.value });
});
document.addEventListener("click", (event) => {
  const each = event.target.closest("button");
  if (!each) return;
  if (each.hasAttribute("data-write")) post("/job", { plan: place.querySelector("select").value, write: true });
  else if (each.hasAttribute("data-stop")) post("/leave");
  else if (each.id === "help-button") document.getElementById("help").showModal();
  else if (each.hasAttribute("data-close")) each.closest("dialog").close();
});

for (;;) {
  try {
    const told = await (await fetch(`/news?version=${version}`, { cache: "no-store" })).json();
    if (!told.same) { version = told.version; swap(place, told.pieces.job); }
  } catch {
    document.getElementById("notice").textContent = "The bench does not answer: start nests bench again and take its new address.";
    await new Promise((go) => setTimeout(go, 1500));
  }
}
