// Two hands that deal 52 cards to four places, one after another, then begin anew.

const CARD = { w: 52, h: 74 };
const DECK = { x: 330, y: 206 };
const PLACES = [{ x: 110, y: 120 }, { x: 290, y: 62 }, { x: 480, y: 62 }, { x: 660, y: 120 }];
const ELBOW = { right: { x: 640, y: 380 }, left: { x: 170, y: 380 } };
const DECK_SIZE = 52;

function card(parent) {
  const node = shape(parent, "g", "");
  shape(node, "rect", "card", { x: -CARD.w / 2, y: -CARD.h / 2, width: CARD.w, height: CARD.h, rx: 6 });
  shape(node, "rect", "back", { x: -CARD.w / 2 + 7, y: -CARD.h / 2 + 7, width: CARD.w - 14, height: CARD.h - 14, rx: 3 });
  return node;
}

function hand(parent, left) {
  const node = shape(parent, "g", "");
  shape(node, "path", "skin", { d: "M-19,6 L-15,420 L15,420 L19,6 Z" });
  const fingers = [[-17, -6, -21, -32], [-6, -10, -8, -44], [5, -10, 5, -45], [15, -6, 18, -36], [left ? 18 : -18, 10, left ? 38 : -38, -12]];
  for (const [x1, y1, x2, y2] of fingers) shape(node, "line", "finger", { x1, y1, x2, y2 });
  shape(node, "ellipse", "skin", { cx: 0, cy: 8, rx: 24, ry: 24 });
  for (const [x1, y1, x2, y2] of fingers) shape(node, "line", "inside", { x1, y1, x2, y2 });
  return node;
}

const move = (node, x, y, turn = 0) => node.setAttribute("transform", `translate(${x.toFixed(1)},${y.toFixed(1)}) rotate(${turn.toFixed(1)})`);
const turned = (elbow, x, y) => (Math.atan2(y - elbow.y, x - elbow.x) * 180) / Math.PI + 90;

// A deal in a picture: `draw(seconds)` shows it so long after it began, and says how many cards lie.
function dealer(picture, secondsPerCard) {
  const piles = PLACES.map(() => card(picture));
  const deck = card(picture);
  const left = hand(picture, true);
  const moving = card(picture);
  const right = hand(picture, false);
  move(left, DECK.x - 44, DECK.y + 44, turned(ELBOW.left, DECK.x - 44, DECK.y + 44));
  return (seconds) => {
    const dealt = seconds / secondsPerCard;
    const lying = Math.floor(dealt + 0.5);
    const u = dealt % 1;
    const place = PLACES[Math.floor(dealt) % PLACES.length];
    const out = u < 0.5 ? smooth(u / 0.5) : smooth((1 - u) / 0.5);
    const x = DECK.x + (place.x - DECK.x) * out;
    const y = DECK.y + (place.y - DECK.y) * out;
    const inRound = lying % DECK_SIZE;
    piles.forEach((pile, i) => {
      const count = Math.floor((inRound + PLACES.length - 1 - i) / PLACES.length);
      pile.style.display = count ? "" : "none";
      move(pile, PLACES[i].x, PLACES[i].y - count);
    });
    move(deck, DECK.x, DECK.y - (DECK_SIZE - inRound) / 6);
    moving.style.display = u < 0.5 ? "" : "none";
    move(moving, x, y);
    move(right, x + 26, y + 40, turned(ELBOW.right, x + 26, y + 40));
    picture.dataset.cards = dealt.toFixed(4);
  };
}
