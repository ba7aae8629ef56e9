// Keys that count wherever the focus is.

import { state } from '../state.js';

const TYPING = 'input:not([type=range], [type=checkbox], [type=radio], [type=color]), textarea, select';
const PRESSABLE = 'button, a, summary, [role=button], [role=tab], input, select, textarea';

/** Undo and redo everywhere but in a text that is being typed; the space bar plays. */
export function shortcut(event, { picture, undo, redo }) {
  const { target } = event;
  const command = event.ctrlKey || event.metaKey;
  const key = event.key.toLowerCase();
  if (command && (key === 'z' || key === 'y')) {
    if (target.matches?.(TYPING) && target.dataset.draft) return; // the browser undoes the typing
    event.preventDefault();
    if (key === 'y' || event.shiftKey) redo();
    else undo();
  } else if (key === ' ' && !command && !target.closest?.(PRESSABLE)) {
    event.preventDefault();
    picture.play(!state.playing);
  }
}
