// The time of the evening: how fast it runs, where it loops, and how often spots pass an eye.

export const SLOW = 0.25;

/** Passes a second above which moving spots are known to harm (WCAG 2.2, SC 2.3.1: three). */
export const MOST_PASSES = 3;

/** How much slower than set the evening is shown: {rate, slowed by the cap or not}. */
export function rateOf({ slow, capped, passes }) {
  const wished = slow ? SLOW : 1;
  const most = capped && passes > MOST_PASSES ? MOST_PASSES / passes : 1;
  return { rate: Math.min(wished, most), held: most < wished };
}

/** Seconds of the longest turn, swing or twist of the balls, which the scrubber covers. */
export function periodOf(balls) {
  const all = balls.map((ball) => {
    const motion = ball.motion ?? {};
    const turn = motion.rpm ? 60 / Math.abs(motion.rpm) : 0;
    return Math.max(turn, motion.twist_turns ? (motion.twist_period_s ?? 0) : 0);
  });
  return Math.min(Math.max(...all, 0) || 20, 600);
}

/** Most passes a second that figures tell of, over a turn where it is known. */
export function passesOf(figures) {
  return figures?.turn?.passes_per_s?.[2] ?? figures?.now?.passes_per_s ?? 0;
}

/** A time within the loop as "0:07.3". */
export function clockText(seconds) {
  const tenths = Math.floor(seconds * 10 + 1e-6);
  const whole = Math.floor(tenths / 10);
  return `${Math.floor(whole / 60)}:${String(whole % 60).padStart(2, '0')}.${tenths % 10}`;
}
