// Numbers as people read them: metres or feet, millimetres or inches. The scene stays metric.

const METRIC = {
  metres: ['m', 1], millimetres: ['mm', 1], 'metres a second': ['m/s', 1], grams: ['g', 1],
  degrees: ['°', 1], kelvin: ['K', 1], lumens: ['lm', 1], lux: ['lx', 1], candela: ['cd', 1],
  'turns a minute': ['rpm', 1], turns: ['turns', 1], seconds: ['s', 1], 'per metre': ['/m', 1],
  hours: ['h', 1], percent: ['%', 1],
};
const INCHES = {
  metres: ['ft', 1 / 0.3048], millimetres: ['in', 1 / 25.4],
  'metres a second': ['ft/s', 1 / 0.3048], grams: ['lb', 1 / 453.59237],
};

/** {sign, factor} of a unit as the schema names it: shown = value * factor. */
export function unit(name, inches = false) {
  const [sign, factor] = (inches && INCHES[name]) || METRIC[name] || [name ?? '', 1];
  return { sign, factor };
}

/** A value in its unit, rounded to what an input shows; "" for null. */
export function shown(value, factor = 1) {
  if (value === null || value === undefined) return '';
  const here = value * factor;
  const digits = Math.abs(here) >= 100 ? 1 : Math.abs(here) >= 1 ? 3 : 4;
  return String(Number(here.toFixed(digits)));
}

/** The value that a text in a unit stands for, freed of the rounding of the conversion. */
export function meant(text, factor = 1) {
  const value = Number(text) / factor;
  return factor === 1 ? value : Number(value.toPrecision(7));
}

/** A step for arrow keys in an input: 5 cm, 1 mm, 1 degree ... in the unit shown. */
export function step(name, inches = false) {
  const steps = {
    metres: inches ? 0.25 : 0.05, millimetres: inches ? 0.125 : 1, degrees: 0.5, kelvin: 100,
    lumens: 50, 'turns a minute': 0.1, lux: 0.05, 'per metre': 0.005, seconds: 1, turns: 0.5,
  };
  return steps[name] ?? 0.05;
}

const GROUPED = new Intl.NumberFormat('en', { useGrouping: true, maximumFractionDigits: 0 });

/** A figure to read, with as many digits as anybody acts on. */
export function readable(value) {
  if (value === null || value === undefined || Number.isNaN(value)) return '–';
  const size = Math.abs(value);
  if (size >= 100) return GROUPED.format(value).replaceAll(',', '\u202f');
  if (size >= 10) return value.toFixed(size % 1 < 0.05 ? 0 : 1);
  if (size >= 1) return value.toFixed(1);
  return value === 0 ? '0' : value.toFixed(2);
}

/** Hours as "1 h 40 min". */
export function hours(value) {
  if (value === null || value === undefined) return '–';
  const minutes = Math.round(value * 60);
  if (minutes < 60) return `${minutes} min`;
  return minutes % 60 ? `${Math.floor(minutes / 60)} h ${minutes % 60} min` : `${minutes / 60} h`;
}

/** A weight as "480 g", "5.0 kg" or "11.1 lb". */
export function weight(grams, inches = false) {
  if (grams === null || grams === undefined) return '–';
  if (inches) return `${(grams / 453.59237).toFixed(1)} lb`;
  return grams < 1000 ? `${Math.round(grams)} g` : `${(grams / 1000).toFixed(1)} kg`;
}
