// Every control that has nothing of it to be seen, or only a part where there would be room for all, once the focus is
// on it: something that stays in place while the page scrolls lies over it. WCAG 2.2, 2.4.11 (focus not obscured).
async () => {
  const CONTROLS = "a[href], button:enabled, input:enabled:not([type=hidden]), select:enabled, textarea:enabled, summary, [tabindex='0']";
  const began = document.activeElement;
  const place = [scrollX, scrollY];
  const stays = (each) => {
    for (let up = each; up && up !== document.body; up = up.parentElement)
      if (/sticky|fixed/.test(getComputedStyle(up).position)) return up;
    return null;
  };
  const found = [];
  // what lies over the control; the control itself where it is outside the window; null where it is seen
  const over = (control) => {
    const box = control.getBoundingClientRect();
    const shares = control.tagName === "TEXTAREA" ? [0.1] : [0.1, 0.5, 0.9];
    const covers = shares.map((down) => {
      const across = (Math.max(box.left, 0) + Math.min(box.right, innerWidth)) / 2;
      const top = document.elementFromPoint(across, box.top + box.height * down);
      if (!top) return control;
      // what one has opened oneself, Escape closes where one is: it may lie over what has the focus
      return control.contains(top) || top.contains(control) || top.closest("[popover]") ? null : stays(top);
    });
    return covers.find((each) => each && each !== control) ?? (covers.every((each) => each) ? control : null);
  };
  for (const control of document.querySelectorAll(CONTROLS)) {
    if (!control.checkVisibility({ visibilityProperty: true }) || control.closest("dialog:not([open]), [popover]")) continue;
    control.focus();
    if (document.activeElement !== control) continue;
    const { width, height } = control.getBoundingClientRect();
    if (width < 2 || height > innerHeight / 3) continue;
    if (over(control)) await new Promise(requestAnimationFrame); // where what is below it was laid out only now
    const by = over(control);
    if (!by) continue;
    const name = control.getAttribute("aria-label") || control.labels?.[0]?.textContent || control.textContent || control.name;
    const how = by === control ? "is outside the window" : `is under ${by.className || by.tagName}`;
    found.push(`${control.tagName.toLowerCase()} “${name.replace(/\s+/g, " ").trim().slice(0, 50)}” ${how}`);
  }
  if (began instanceof HTMLElement) began.focus({ preventScroll: true });
  scrollTo(...place);
  return found;
}
