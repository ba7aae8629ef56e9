// Candidates side by side: kept, compared, taken back.

import { send } from '../actions.js';
import { change, state } from '../state.js';
import { html, useState } from './html.js';
import { Problem } from './problems.js';
import { bests, FIGURES, together } from './words.js';

let kept = null; // picture and figures of what was just sent to be kept

function notes() {
  try {
    return JSON.parse(sessionStorage.getItem('glint notes')) ?? {};
  } catch {
    return {}; // storage is switched off: candidates have no pictures
  }
}

function note(found) {
  change({ notes: found });
  try {
    sessionStorage.setItem('glint notes', JSON.stringify(found));
  } catch {
    change({ said: 'Pictures of candidates are lost with a reload: storage is full or off.' });
  }
}

/** Candidates have come: the new one is what was just kept. */
export function candidatesCame(candidates) {
  const found = Object.keys(state.notes).length ? { ...state.notes } : notes();
  const numbers = candidates.map(({ number }) => String(number));
  const fresh = numbers.filter((number) => !(number in found)).at(-1);
  if (fresh !== undefined && kept) {
    found[fresh] = kept;
    kept = null;
  }
  for (const number of Object.keys(found)) if (!numbers.includes(number)) delete found[number];
  change({ candidates });
  note(found);
}

/** Means over a turn come after a scene was kept: they belong to it too. */
export function figuresCame(figures) {
  const own = Object.entries(state.notes).filter(([, one]) => one.revision === figures.revision);
  if (!figures.turn || !own.length) return;
  const added = own.map(([number, one]) => [number, { ...one, figures: together(figures) }]);
  note({ ...state.notes, ...Object.fromEntries(added) });
}

function keep(picture, name) {
  const { figures, scene } = state;
  kept = {
    thumbnail: picture.thumbnail(), revision: scene.revision,
    figures: figures?.revision === scene.revision ? together(figures) : {},
  };
  send({ type: 'keep', ...(name && { name }) });
}

function Candidate({ one, best, place }) {
  const { thumbnail, figures } = state.notes[one.number] ?? {};
  const all = { ...figures, ...one.now };
  const shown = Object.entries(FIGURES).filter(([key]) => (all[key] ?? null) !== null);
  return html`<li class="candidate">
    ${thumbnail ? html`<img src=${thumbnail} alt=${`The evening with ${one.name}`} />` : html`<div class="blank"></div>`}
    <h3>${one.name}</h3>
    <dl>${shown.map(([key, [words, read]]) => {
      const { text, sign } = read(all[key], state.inches);
      const isBest = best[key]?.has(place);
      return html`<div key=${key} class=${isBest ? 'best' : ''}><dt>${words}</dt><dd><b>${text}</b> <span class="unit">${sign}</span>${isBest && html`<span class="star" title="the best of all">★<span class="hidden"> best</span></span>`}</dd></div>`;
    })}</dl>
    <div class="row"><button type="button" onClick=${() => send({ type: 'back', number: one.number })} aria-label=${`Take back: ${one.name}`}>Take back</button>
      <button type="button" class="quiet bad" onClick=${() => send({ type: 'drop', number: one.number })} aria-label=${`Drop: ${one.name}`}>Drop</button></div>
  </li>`;
}

export function Candidates({ picture }) {
  const [name, setName] = useState('');
  const { candidates, welcome, problems } = state;
  const most = welcome.limits.candidates;
  const rows = candidates.map((one) => ({ ...state.notes[one.number]?.figures, ...one.now }));
  const best = bests(rows);
  const submit = (event) => {
    event.preventDefault();
    keep(picture, name.trim());
    setName('');
  };
  return html`<form class="row end" onSubmit=${submit}>
      <div class="field"><label for="keep-name">Keep what I see as</label>
        <input id="keep-name" type="text" maxlength="60" value=${name} placeholder="its own name"
          onInput=${({ target }) => setName(target.value)} /></div>
      <button type="submit" class="main" disabled=${candidates.length >= most}>Keep</button>
    </form>
    ${problems.filter(({ doing }) => ['drop'].includes(doing)).map((one) => html`<${Problem} problem=${one} />`)}
    <p class="hint">${candidates.length ? `${candidates.length} of ${most} kept. ★ marks the best of each figure.`
      : `Keep up to ${most} and hold them against each other: each with its picture and its figures, and one click back.`}</p>
    <ul class="candidates">${candidates.map((one, place) => html`<${Candidate} key=${one.number} one=${one} best=${best} place=${place} />`)}</ul>`;
}
