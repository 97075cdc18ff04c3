// Every control that a pointer can hit and that is smaller than `least` px a side, by WCAG 2.2, 2.5.8 (target size):
// neither so large, nor spaced so that a circle of `least` around it meets no other target, nor a link within a sentence.
// Where nothing is `excused`, every one that is smaller.
({ least, excused }) => {
  const CONTROLS = "a[href], button, input:not([type=hidden]), select, textarea, summary, label:has(input), [role=button]";

  const shown = (each) => each.checkVisibility({ visibilityProperty: true }) && !each.closest("[inert]");
  const box = (each) => {
    const { left, top, right, bottom, width, height } = each.getBoundingClientRect();
    return { left, top, right, bottom, width, height, across: left + width / 2, down: top + height / 2 };
  };

  // what is hit through its label is as large as both together
  const joined = (one, other) => ({
    left: Math.min(one.left, other.left),
    top: Math.min(one.top, other.top),
    right: Math.max(one.right, other.right),
    bottom: Math.max(one.bottom, other.bottom),
  });
  const area = (each) => {
    const own = box(each);
    const label = each.matches("input[type=checkbox], input[type=radio]") && each.labels[0];
    if (!label || !shown(label)) return own;
    const both = joined(own, box(label));
    const [width, height] = [both.right - both.left, both.bottom - both.top];
    return { ...both, width, height, across: both.left + width / 2, down: both.top + height / 2 };
  };

  // a link in a sentence: its line's height is that of the words around it, which are no link
  const inSentence = (each) => {
    if (getComputedStyle(each).display !== "inline") return false;
    let block = each.parentElement;
    while (getComputedStyle(block).display === "inline") block = block.parentElement;
    const copy = block.cloneNode(true);
    for (const part of copy.querySelectorAll("a, button, .visually-hidden")) part.remove();
    return /\p{L}{2}|\d/u.test(copy.textContent);
  };

  const targets = [...document.querySelectorAll(CONTROLS)]
    .filter((each) => each.tagName !== "LABEL" && shown(each) && !each.matches(".skip-link:not(:focus)"))
    .map((control) => ({ control, ...area(control) }))
    .filter(({ width, height }) => width > 1 && height > 1);
  const small = (each) => each.width < least - 0.01 || each.height < least - 0.01;

  const meets = (each, other) => {
    if (other.control.contains(each.control) || each.control.contains(other.control)) return false;
    const radius = least / 2;
    if (small(other)) return Math.hypot(each.across - other.across, each.down - other.down) < 2 * radius;
    const across = Math.max(other.left - each.across, 0, each.across - other.right);
    const down = Math.max(other.top - each.down, 0, each.down - other.bottom);
    return Math.hypot(across, down) < radius;
  };

  const said = ({ control, width, height }) => {
    const name = control.getAttribute("aria-label") || control.textContent.trim() || control.name || "";
    return `${control.tagName.toLowerCase()} “${name.replace(/\s+/g, " ").slice(0, 60)}” ${width.toFixed(1)} × ${height.toFixed(1)}`;
  };
  return targets
    .filter(small)
    .filter((each) => !excused || !inSentence(each.control))
    .filter((each) => !excused || targets.some((other) => other !== each && meets(each, other)))
    .map(said);
}
