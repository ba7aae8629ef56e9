// All that the page knows, in one object. What is drawn follows from it.

/**
 * welcome, scene (its facts), polygons (its arrays), figures, candidates, recovered: as they came.
 * jobs: by id. problems: of what was refused, until it is done right. closed: why nothing comes.
 * picture: {source, why, exact} of what is shown. eye: of the camera, where it was moved; null is
 * the scene's. chosen: the thing whose numbers are shown, {kind, number}.
 */
export const state = {
  welcome: null, scene: null, polygons: null, shapes: null, figures: null, candidates: [],
  recovered: null, jobs: {}, problems: [], saved: null, closed: null,
  picture: { source: null, why: '', exact: false, wanted: true },
  view: 'eye', eye: null, tab: 'shape', ball: 0, chosen: { kind: 'ball', number: 0 },
  playing: false, slow: false, capped: true, inches: false, undone: 0, notes: {}, said: '',
};

const listeners = new Set();
let waiting = false;

/** Change what is named, and have the page drawn once for all changes of this moment. */
export function change(changes) {
  Object.assign(state, changes);
  if (waiting) return;
  waiting = true;
  queueMicrotask(() => {
    waiting = false;
    for (const listener of listeners) listener(state);
  });
}

/** Be told of every change; returns how to stop that. */
export function listen(listener) {
  listeners.add(listener);
  return () => listeners.delete(listener);
}

/** What a path like "ball[0].hang.at_m" leads to in tables, or undefined. */
export function at(tables, path) {
  let value = tables;
  for (const step of path.match(/[^.[\]]+/g) ?? []) value = value?.[step];
  return value;
}

/** What this browser keeps for the next time: small things that no scene holds. */
export function remembered(key, otherwise) {
  try {
    return JSON.parse(localStorage.getItem(`glint ${key}`)) ?? otherwise;
  } catch {
    return otherwise; // storage is switched off, or holds what is no JSON
  }
}

export function remember(key, value) {
  try {
    localStorage.setItem(`glint ${key}`, JSON.stringify(value));
  } catch {
    change({ said: 'This browser keeps nothing for the next time: its storage is full or off.' });
  }
}
