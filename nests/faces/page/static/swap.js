// Puts a piece of the page in the place of the old one: what has the focus keeps it, and what was
// typed and not yet sent stays.

function keyed(element) {
  return element?.closest?.("[data-key]")?.dataset.key ?? "";
}

export function find(key) {
  return key ? document.querySelector(`[data-key="${CSS.escape(key)}"]`) : null;
}

export function swap(place, html) {
  if (place.dataset.last === html) return false;
  const last = document.activeElement;
  const inside = place.contains(last);
  const key = inside ? keyed(last) : "";
  const typed = inside && last.matches("input") && last.value !== last.defaultValue
    ? [last.value, last.selectionStart, last.selectionEnd] : null;
  const scrolled = [...place.querySelectorAll("[data-scrolls]")].map((each) => each.scrollTop);
  const closed = new Map([...place.querySelectorAll("details")].map((d) => [d.className, d.open]));
  place.innerHTML = html;
  place.dataset.last = html;
  place.querySelectorAll("[data-scrolls]").forEach((each, k) => { each.scrollTop = scrolled[k] ?? 0; });
  place.querySelectorAll("details").forEach((d) => { if (closed.has(d.className)) d.open = closed.get(d.className); });
  const again = find(key);
  if (again && inside) {
    again.focus({ preventScroll: true });
    if (typed && again.matches("input")) {
      again.value = typed[0];
      try { again.setSelectionRange(typed[1], typed[2]); } catch { /* a field without a selection */ }
    }
  }
  return true;
}
