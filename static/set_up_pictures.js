/* The drawing of the set-up that is shown, and of no other: what the page has for whoever has no script is text here
   until its set-up is turned to. Nothing is fetched, so it is there without a connection. */

let hand = "";

/** The drawings of a set-up, by the hand of its pieces. */
function drawings(place) {
  const template = document.createElement("template");
  template.innerHTML = place.querySelector("noscript").textContent;
  return [...template.content.querySelectorAll("[data-hand]")];
}

function choice(found, place) {
  const group = document.createElement("div");
  group.className = "shop-hands";
  group.setAttribute("role", "group");
  group.setAttribute("aria-label", "Pieces that are drawn");
  for (const each of found) {
    const button = document.createElement("button");
    button.type = "button";
    button.className = "button-quiet";
    button.textContent = each.dataset.hand;
    button.addEventListener("click", () => {
      hand = each.dataset.hand;
      showHand(found, place);
    });
    group.append(button);
  }
  return group;
}

function showHand(found, place) {
  const shown = found.find((each) => each.dataset.hand === hand) ?? found[0];
  for (const each of found) each.remove();
  place.append(shown);
  for (const button of place.querySelectorAll(".shop-hands button")) {
    button.setAttribute("aria-pressed", String(button.textContent === shown.dataset.hand));
  }
}

/** Draw this set-up, and take the drawing of the one before away. */
export function drawSetUp(section) {
  for (const drawn of document.querySelectorAll("[data-pictures] > :not(noscript)")) drawn.remove();
  const place = section.querySelector("[data-pictures]");
  const found = drawings(place);
  if (!found.length) return;
  if (found.length > 1) place.append(choice(found, place));
  showHand(found, place);
}
