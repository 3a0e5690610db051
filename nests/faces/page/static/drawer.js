// The drawer: each deed is sent, and the drawer is shown as it is after it.
import { swap, find } from "./swap.js";

const place = document.getElementById("drawer");
place.dataset.last = place.innerHTML;

async function post(asked, key) {
  try {
    const answer = await fetch("/drawer", {
      method: "POST", headers: { "content-type": "application/json" }, body: JSON.stringify(asked),
    });
    const told = await answer.json();
    document.getElementById("fault").textContent = (told.faults ?? []).join(" ");
    document.getElementById("notice").textContent = told.says ?? "";
    if (told.piece) swap(place, told.piece);
    (find(key) ?? document.getElementById("kept-title"))?.focus();
  } catch {
    document.getElementById("notice").textContent = "The bench does not answer: start nests bench again and take its new address.";
  }
}

document.addEventListener("submit", (event) => {
  event.preventDefault();
  const form = event.target;
  const fields = Object.fromEntries(new FormData(form));
  post({ do: form.dataset.drawer, id: form.dataset.id ?? "", fields });
});
document.addEventListener("click", (event) => {
  const each = event.target.closest("button");
  if (!each) return;
  if (each.dataset.show !== undefined) post({ do: "show", id: each.dataset.show }, "");
  else if (each.dataset.drawerDo) post({ do: each.dataset.drawerDo }, each.dataset.key);
  else if (each.id === "help-button") document.getElementById("help").showModal();
  else if (each.hasAttribute("data-close")) each.closest("dialog").close();
});
