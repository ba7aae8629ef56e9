// The one place that knows which library draws the controls.

export {
  html, render, useEffect, useLayoutEffect, useMemo, useRef, useState,
} from '../vendor/htm-preact.js';

let count = 0;

/** A name for an element, so that labels can point to it. */
export const newId = (stem) => `${stem}-${(count += 1)}`;
