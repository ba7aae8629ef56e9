// An eye that looks round, walks and zooms. All pure: an eye is {at_m, look_m, fov_deg}.

export const NARROWEST = 12;
export const WIDEST = 110;
const LOWEST = 0.15;

/** Azimuth and height of the look, rad, and how far away what is looked at lies, m. */
export function facing({ at_m: at, look_m: look }) {
  const [x, y, z] = look.map((v, i) => v - at[i]);
  return { turn: Math.atan2(y, x), lift: Math.atan2(z, Math.hypot(x, y)), far: Math.hypot(x, y, z) };
}

function looking(eye, turn, lift, far) {
  const level = Math.max(Math.min(lift, 1.55), -1.55);
  const [x, y, z] = eye.at_m;
  const flat = far * Math.cos(level);
  const look_m = [x + flat * Math.cos(turn), y + flat * Math.sin(turn), z + far * Math.sin(level)];
  return { ...eye, look_m };
}

/** Turned to the left and up by angles, rad. */
export function looked(eye, left, up) {
  const { turn, lift, far } = facing(eye);
  return looking(eye, turn + left, lift + up, far);
}

/** Walked ahead, to the left and up, m, but not out of a room of this radius and height. */
export function walked(eye, ahead, left, up, room) {
  const { turn } = facing(eye);
  const c = Math.cos(turn);
  const s = Math.sin(turn);
  let [x, y, z] = eye.at_m;
  [x, y] = [x + ahead * c - left * s, y + ahead * s + left * c];
  const away = Math.hypot(x, y);
  const most = 0.94 * room.radius;
  if (away > most) [x, y] = [(x * most) / away, (y * most) / away];
  z = Math.min(Math.max(z + up, LOWEST), 0.94 * room.height);
  const moved = [x, y, z].map((v, i) => v - eye.at_m[i]);
  return { ...eye, at_m: [x, y, z], look_m: eye.look_m.map((v, i) => v + moved[i]) };
}

/** With a view so many times as wide. */
export function zoomed(eye, times) {
  const wide = (eye.fov_deg ?? 75) * times;
  return { ...eye, fov_deg: Math.min(Math.max(wide, NARROWEST), WIDEST) };
}

/**
 * From overhead, wide enough for a floor of this radius in a picture of this shape; beside the
 * hooks, whose cords would fill the picture.
 */
export function overhead(room, hooks, aspect) {
  const z = 0.8 * room.height;
  const isFree = (x, y) => hooks.every((hook) => Math.hypot(hook[0] - x, hook[1] - y) > 0.06 * room.radius);
  const x = [0, 0.1, -0.1, 0.2, -0.2].map((v) => v * room.radius).find((v) => isFree(v, -0.1 * room.radius)) ?? 0;
  const half = Math.atan((Math.max(aspect, 1) * room.radius * 1.04) / z);
  const fov = Math.min((half * 360) / Math.PI, WIDEST);
  return { at_m: [x, -0.1 * room.radius, z], look_m: [x, 0, 0], fov_deg: fov };
}

/** Close to a ball, from the side that the scene's eye is on. */
export function closeTo(ball, eye, room, aspect) {
  const [x, y, z] = ball.centre;
  let [dx, dy] = [eye.at_m[0] - x, eye.at_m[1] - y];
  const long = Math.hypot(dx, dy) || 1;
  const away = Math.min(5.5 * ball.radius, long);
  [dx, dy] = [(dx * away) / long, (dy * away) / long];
  const at = [x + dx, y + dy, Math.max(z - 0.8 * ball.radius, LOWEST)];
  const distance = Math.hypot(dx, dy, at[2] - z);
  const half = Math.atan((1.5 * ball.radius * Math.max(aspect, 1)) / distance);
  const fov = Math.min(Math.max((half * 360) / Math.PI, NARROWEST), 100);
  return { at_m: at, look_m: [...ball.centre], fov_deg: fov };
}
