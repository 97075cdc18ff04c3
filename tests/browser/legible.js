// What cannot be read of a page as it stands: it scrolls sideways, words are cut off or run into one another, or what
// scrolls by itself cannot be reached or has no name. WCAG 2.2, 1.4.4 (resize text) and 1.4.10 (reflow).
() => {
  const width = document.documentElement.clientWidth;
  const styles = new Map();
  const style = (each) => styles.get(each) ?? styles.set(each, getComputedStyle(each)).get(each);
  const shown = (each) => each.checkVisibility({ visibilityProperty: true }) && !each.closest(".visually-hidden, .skip-link");
  const words = (text) => `“${text.replace(/\s+/g, " ").trim().slice(0, 50)}”`;
  const place = (each) => {
    const named = each.closest("[id], [class]");
    const called = named?.getAttribute("class") ? `.${named.getAttribute("class").trim().replace(/\s+/g, ".")}` : `#${named?.id}`;
    return `${each.tagName.toLowerCase()} in ${called}`;
  };
  const above = function* (each) {
    for (let up = each; up && up !== document.body; up = up.parentElement) yield up;
  };
  const first = (each, holds) => {
    for (const up of above(each)) if (holds(up)) return up;
    return null;
  };
  // what lies over the page as it scrolls is looked for where the focus goes
  const floats = (each) => first(each, (up) => /sticky|fixed/.test(style(up).position));
  const scroller = (each) =>
    first(each, (up) => /auto|scroll/.test(style(up).overflowX) && up.scrollWidth > up.clientWidth + 1);

  const found = new Set();
  const beyond = document.documentElement.scrollWidth - width;
  if (beyond > 0) found.add(`the page scrolls sideways by ${beyond} px`);

  const ruler = document.createElement("canvas").getContext("2d");
  const long = (text, each) => {
    const { fontStyle, fontWeight, fontSize, fontFamily } = style(each);
    ruler.font = `${fontStyle} ${fontWeight} ${fontSize} ${fontFamily}`;
    return ruler.measureText(text).width;
  };
  const room = (each) => each.clientWidth - parseFloat(style(each).paddingLeft) - parseFloat(style(each).paddingRight);

  for (const each of document.body.querySelectorAll(":not(svg *)")) {
    if (!shown(each)) continue;
    const { overflowX, overflowY } = style(each);
    const wider = each.scrollWidth > each.clientWidth + 1;
    const taller = each.scrollHeight > each.clientHeight + 1;
    const field = /^(INPUT|SELECT|TEXTAREA)$/.test(each.tagName);
    if (!field && ((/auto|scroll/.test(overflowX) && wider) || (/auto|scroll/.test(overflowY) && taller))) {
      const named = each.hasAttribute("aria-label") || each.hasAttribute("aria-labelledby");
      const within = !wider && each.querySelector("a[href], button"); // going there brings it into sight
      if (!within && (each.tabIndex < 0 || !named || !(each.role || each.tagName === "FIGURE"))) found.add(`scrolls, and is no named region with the focus: ${place(each)}`);
    }
    const cut = (/hidden|clip/.test(overflowX) && wider) || (/hidden|clip/.test(overflowY) && taller);
    if (!field && cut && each.textContent.trim()) found.add(`cut off: ${words(each.textContent)}, ${place(each)}`);
    if (each.matches("input[inputmode]") && long(each.value || each.placeholder, each) > room(each) + 1)
      found.add(`no room for ${words(each.value || each.placeholder)} in the field ${each.name}`);
    // a list says its option whole once it is opened; closed, enough of it to be known by
    if (each.tagName === "SELECT" && long(each.selectedOptions[0]?.text.slice(0, 12) ?? "", each) > room(each))
      found.add(`no room for ${words(each.selectedOptions[0].text)} in the list ${each.name}`);
  }

  // lines of words, without what their line has above and below them, and controls; what two of them share is an overlap
  const boxes = [];
  const range = document.createRange();
  const texts = document.createTreeWalker(document.body, NodeFilter.SHOW_TEXT);
  while (texts.nextNode()) {
    const node = texts.currentNode;
    const holder = node.parentElement;
    if (!node.data.trim() || /^(option|script|style|template|textarea|title|desc)$/i.test(holder.tagName)) continue;
    if (!shown(holder) || floats(holder)) continue;
    range.selectNodeContents(node);
    for (const { left, right, top, bottom } of range.getClientRects()) {
      if (right - left < 2) continue;
      const within = scroller(holder);
      if (!within && (left < -1 || right > width + 1)) found.add(`beyond the page: ${words(node.data)}, ${place(holder)}`);
      const lead = (bottom - top) * 0.22;
      boxes.push({ left, right, top: top + lead, bottom: bottom - lead, holder, node, within, words: words(node.data) });
    }
  }
  for (const control of document.querySelectorAll("input:not([type=hidden]), select, textarea, button, .button, summary")) {
    if (!shown(control) || floats(control)) continue;
    const { left, right, top, bottom } = control.getBoundingClientRect();
    if (right - left < 2) continue;
    const name = words(control.getAttribute("aria-label") || control.textContent || control.name);
    boxes.push({ left, right, top, bottom, holder: control, node: null, within: scroller(control), words: name });
  }
  const together = (one, other) =>
    one.node === other.node && one.node !== null
      ? true
      : // a unit stands in its field, and a drawing answers for its own letters
        (!(one.node && other.node) && (one.holder.contains(other.holder) || other.holder.contains(one.holder))) ||
        [one, other].some((each) => each.holder.matches(".unit")) ||
        (one.holder.closest("svg") && one.holder.closest("svg") === other.holder.closest("svg"));
  boxes.sort((one, other) => one.top - other.top);
  boxes.forEach((one, at) => {
    for (let next = at + 1; next < boxes.length && boxes[next].top < one.bottom - 1; next += 1) {
      const other = boxes[next];
      const meet = one.left < other.right - 1 && other.left < one.right - 1;
      if (meet && one.within === other.within && !together(one, other))
        found.add(`${one.words} and ${other.words} overlap, ${place(one.holder)}`);
    }
  });
  return [...found].slice(0, 30);
}
