// Figures in words: what they are called, how they read, and which way is better.

import { hours, readable, unit, weight } from './units.js';

const plain = (sign) => (value) => ({ text: readable(value), sign });
const share = (value) => ({ text: value === null ? '–' : readable(value * 100), sign: '%' });
const speed = (value, inches) => {
  const { sign, factor } = unit('metres a second', inches);
  return { text: value === null ? '–' : readable(value * factor), sign };
};

/** key: [name, reading of a value, better: 1 more, -1 less, 0 neither, what it is]. */
export const FIGURES = {
  spots: ['spots', plain(''), 1, 'how many spots stand out from the light that is there anyway'],
  brightness_lux: ['brightness', plain('lx'), 1, 'peak of the middle one of these spots'],
  gap_deg: ['dark gap', plain('°'), -1, 'the largest dark place overhead, as an angle'],
  cover_share: ['covered', share, 1, 'share of what is overhead that is lit at this moment'],
  speed_m_s: ['speed', speed, 0, 'how fast the middle one of the spots moves'],
  passes_per_s: ['flicker', plain('/s'), -1, 'how often a spot passes a place overhead, each second'],
  tiles: ['tiles', plain(''), -1, 'mirrors of all balls'],
  grams: ['weight', (v, inches) => ({ text: weight(v, inches), sign: '' }), -1, 'of all balls: tiles, panels and glue'],
  gluing_h: ['gluing', (v) => ({ text: hours(v), sign: '' }), -1, 'time to glue all tiles, with the hands there are'],
  string_lumens_out: ['string light', plain('lm'), 1, 'lumens of string lights that leave the balls'],
};

/** Means over a turn where there are any, and the moment's figures for the rest. */
export function together(figures) {
  const means = Object.entries(figures?.turn ?? {}).map(([key, value]) => [key, value?.[0] ?? null]);
  return { ...figures?.now, ...Object.fromEntries(means) };
}

/** Which of some rows of figures are the best of each: {key: Set of places}. */
export function bests(rows) {
  const found = {};
  for (const [key, [, , better]] of Object.entries(FIGURES)) {
    const values = rows.map((row) => row?.[key] ?? null);
    const known = values.filter((value) => value !== null);
    if (!better || known.length < 2 || new Set(known).size < 2) continue;
    const best = better > 0 ? Math.max(...known) : Math.min(...known);
    found[key] = new Set(values.flatMap((value, i) => (value === best ? [i] : [])));
  }
  return found;
}
