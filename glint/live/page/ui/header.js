// The name of the evening, undo and redo, units, and saving.

import { edit, redo, undo } from '../actions.js';
import { html, useEffect, useState } from './html.js';
import { save } from './takeaway.js';

export function Header({ ready, state }) {
  const { scene } = state;
  const title = scene?.filled.title ?? '';
  const [draft, setDraft] = useState(null);
  useEffect(() => setDraft(null), [title, state.undone]);
  const rename = ({ target }) => {
    if (target.value !== title) edit({ title: target.value || null });
    setDraft(null);
  };
  return html`<header>
    <p class="brand">glint</p>
    <div class="name">
      <h1 class="hidden">${title || 'glint live'}</h1>
      ${ready && html`<input type="text" class="title" aria-label="Name of the evening" value=${draft ?? title}
        data-path="title" data-draft=${draft === null ? undefined : ''} maxlength="120" spellcheck=${false}
        size=${Math.max((draft ?? title).length, 8)}
        onInput=${({ target }) => setDraft(target.value)} onChange=${rename} />`}
    </div>
    ${ready && html`<div class="tools" role="group" aria-label="Undo and save">
      <button type="button" class="quiet icon" disabled=${!scene.can_undo} onClick=${undo} title="Undo (Ctrl+Z)" aria-label="Undo"><span aria-hidden="true">↶</span></button>
      <button type="button" class="quiet icon" disabled=${!scene.can_redo} onClick=${redo} title="Redo (Ctrl+Shift+Z)" aria-label="Redo"><span aria-hidden="true">↷</span></button>
      <button type="button" class=${`save ${scene.unsaved ? 'main' : 'quiet'}`} onClick=${() => save()}>
        ${scene.unsaved ? 'Save' : 'Saved'}</button>
    </div>`}
  </header>`;
}
