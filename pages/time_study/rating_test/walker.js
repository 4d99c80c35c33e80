// A figure that walks on the level, drawn from the side. The foot that stands does not slide: its speed is the walk's.

const PX_PER_M = 100;
const VIEW_M = 8;
const FLOOR_Y = 262;
const MARGIN_M = 0.6;
const BODY = { thigh: 0.46, shin: 0.46, hip: 0.93, ankle: 0.07, foot: 0.2, torso: 0.52, upper: 0.3, fore: 0.27, head: 0.11 };
const STEP_BY_CADENCE = 0.0064; // metres of a step over steps a minute: common practice, no source
const ON_GROUND = 0.62; // share of a stride that a foot stands: common practice, no source
const SVG = "http://www.w3.org/2000/svg";

function shape(parent, tag, className, attributes = {}) {
  const node = document.createElementNS(SVG, tag);
  node.setAttribute("class", className);
  for (const [name, value] of Object.entries(attributes)) node.setAttribute(name, value);
  parent.append(node);
  return node;
}

const smooth = (u) => u * u * (3 - 2 * u);
const at = (x, y) => `${(x * PX_PER_M).toFixed(1)},${(FLOOR_Y - y * PX_PER_M).toFixed(1)}`;

// Ankle from the hip and pitch of the foot, at a share of the stride that begins as the heel comes down.
function ankle(phase, reach) {
  if (phase < ON_GROUND) {
    const u = phase / ON_GROUND;
    const off = Math.max(0, (u - 0.65) / 0.35);
    const strike = Math.max(0, 1 - u / 0.15);
    return { x: reach * (1 - 2 * u), y: BODY.ankle + 0.1 * off * off, pitch: 0.3 * strike - 0.85 * off };
  }
  const u = (phase - ON_GROUND) / (1 - ON_GROUND);
  const s = smooth(u);
  return { x: reach * (2 * s - 1), y: BODY.ankle + 0.1 * (1 - s) + 0.07 * Math.sin(Math.PI * u), pitch: -0.85 + 1.15 * s };
}

function leg(hipX, hipY, phase, reach) {
  const goal = ankle(phase, reach);
  const full = BODY.thigh + BODY.shin - 0.005;
  let dx = goal.x;
  let dy = goal.y - hipY;
  const far = Math.hypot(dx, dy);
  if (far > full) { dy = -Math.sqrt(full * full - dx * dx); }
  const d = Math.min(Math.hypot(dx, dy), full);
  const bend = Math.acos(Math.min(1, (BODY.thigh ** 2 + d * d - BODY.shin ** 2) / (2 * BODY.thigh * d)));
  const angle = Math.atan2(dy, dx) + bend;
  const knee = [hipX + BODY.thigh * Math.cos(angle), hipY + BODY.thigh * Math.sin(angle)];
  const foot = [hipX + dx, hipY + dy];
  const toe = [foot[0] + BODY.foot * Math.cos(goal.pitch), Math.max(0.03, foot[1] - 0.04 + BODY.foot * Math.sin(goal.pitch))];
  return [[hipX, hipY], knee, foot, toe];
}

function arm(x, y, swing) {
  const down = -Math.PI / 2 + swing;
  const elbow = [x + BODY.upper * Math.cos(down), y + BODY.upper * Math.sin(down)];
  const bent = down + 0.35;
  return [[x, y], elbow, [elbow[0] + BODY.fore * Math.cos(bent), elbow[1] + BODY.fore * Math.sin(bent)]];
}

// A walk in a picture: `draw(seconds)` shows it so long after it began, and says how far it has come.
function walker(picture, metresPerSecond, words) {
  shape(picture, "line", "ground", { x1: 0, x2: 800, y1: FLOOR_Y + 4, y2: FLOOR_Y + 4 });
  for (let m = 0; m <= VIEW_M; m += 1) {
    shape(picture, "line", "ground thin", { x1: m * PX_PER_M, x2: m * PX_PER_M, y1: FLOOR_Y + 4, y2: FLOOR_Y + 16 });
  }
  shape(picture, "text", "", { x: PX_PER_M * 1.5, y: FLOOR_Y + 24 }).textContent = words.metre;
  const farArm = shape(picture, "polyline", "limb far", { "stroke-width": 11 });
  const farLeg = shape(picture, "polyline", "limb far", { "stroke-width": 15 });
  const trunk = shape(picture, "polyline", "limb near", { "stroke-width": 26 });
  const head = shape(picture, "circle", "solid", { r: BODY.head * PX_PER_M });
  const nearLeg = shape(picture, "polyline", "limb near", { "stroke-width": 15 });
  const nearArm = shape(picture, "polyline", "limb near", { "stroke-width": 11 });
  const step = Math.sqrt(STEP_BY_CADENCE * 60 * metresPerSecond);
  const stride = 2 * step;
  const reach = (ON_GROUND * stride) / 2;
  const put = (node, points) => node.setAttribute("points", points.map(([x, y]) => at(x, y)).join(" "));
  return (seconds) => {
    const gone = metresPerSecond * seconds;
    const x = ((gone + VIEW_M / 4 + MARGIN_M) % (VIEW_M + 2 * MARGIN_M)) - MARGIN_M;
    const phase = (gone / stride) % 1;
    const hip = BODY.hip - 0.02 + 0.015 * Math.cos(4 * Math.PI * (phase - 0.31));
    const swing = 0.5 * Math.cos(2 * Math.PI * phase);
    const shoulder = [x + 0.05, hip + BODY.torso];
    put(nearLeg, leg(x, hip, phase, reach));
    put(farLeg, leg(x, hip, (phase + 0.5) % 1, reach));
    put(trunk, [[x, hip + 0.06], [shoulder[0], shoulder[1] - 0.08]]);
    put(nearArm, arm(...shoulder, -swing));
    put(farArm, arm(...shoulder, swing));
    const [cx, cy] = at(x + 0.09, hip + BODY.torso + 0.17).split(",");
    head.setAttribute("cx", cx);
    head.setAttribute("cy", cy);
    picture.dataset.metres = gone.toFixed(4);
  };
}
