// The steps from base to body, as a chain.

import { add, edit, remove } from '../actions.js';
import { state } from '../state.js';
import { Field, fact } from './fields.js';
import { html, useRef, useState } from './html.js';
import { Problem, problemsAt, useField } from './problems.js';

const LABELS = { sides: 'Faces with sides', count: 'How many', frequency: 'Parts of an edge', levels: 'Levels', turned: 'Turned', times: 'Times', by: 'By' };
const DO = { raise: 'Raise', cap: 'Cap', open: 'Leave open', split: 'Split', spike: 'Spike', join: 'Join' };

const named = () => fact('ShapeTable', 'steps').named ?? {};

/** What is needed of a new step, with the first value that may stand there. */
function started(kind) {
  const keys = state.welcome.schema.tables[named()[kind]];
  const first = { raise: 3, cap: 6, open: 3, split: 3, spike: 3 }[kind] ?? 3;
  return { do: kind, ...('sides' in keys && { sides: first }), ...(kind === 'open' && { count: 1 }) };
}

function Step({ ball, number, step, count, move }) {
  const path = `ball[${ball}].shape.steps[${number}]`;
  const table = named()[step.do];
  const keys = Object.keys(state.welcome.schema.tables[table]).filter((key) => key !== 'do');
  useField(path);
  const name = DO[step.do] ?? step.do;
  const here = `${name}, step ${number + 1}`;
  return html`<li class="step">
    <div class="row spread"><h3>${name}</h3>
      <span class="tools">
        <button type="button" class="quiet icon" aria-label=${`${here}: earlier`} disabled=${number === 0} onClick=${() => move(number, -1)}><span aria-hidden="true">↑</span></button>
        <button type="button" class="quiet icon" aria-label=${`${here}: later`} disabled=${number === count - 1} onClick=${() => move(number, 1)}><span aria-hidden="true">↓</span></button>
        <button type="button" class="quiet icon" aria-label=${`${here}: take away`} onClick=${() => remove('step', number, { ball })}><span aria-hidden="true">×</span></button>
      </span></div>
    <div class="row">${keys.map((key) => html`<${Field} key=${key} path=${`${path}.${key}`} table=${table} name=${key}
      label=${LABELS[key] ?? key} placeholder=${key === 'count' ? 'all' : undefined} />`)}</div>
    ${problemsAt(path).filter((one) => one.path === path).map((one) => html`<${Problem} problem=${one} />`)}
  </li>`;
}

export function Steps({ ball, steps }) {
  const [kind, setKind] = useState('raise');
  const list = useRef(null);
  const path = `ball[${ball}].shape.steps`;
  const move = (number, by) => {
    const rows = [...state.scene.tables.ball[ball].shape.steps];
    [rows[number], rows[number + by]] = [rows[number + by], rows[number]];
    edit({ [path]: rows });
  };
  const kinds = Object.keys(named());
  return html`
    <ol class="chain" ref=${list}>${steps.map((step, number) => html`<${Step} key=${number} ball=${ball} number=${number}
      step=${step} count=${steps.length} move=${move} />`)}</ol>
    <div class="row end">
      <div class="field choice"><label for="new-step">Then</label>
        <select id="new-step" value=${kind} onChange=${({ target }) => setKind(target.value)}>
          ${kinds.map((one) => html`<option value=${one}>${DO[one] ?? one}</option>`)}</select></div>
      <button type="button" onClick=${() => add('step', { ball, value: started(kind) })}>Add step</button>
    </div>
    <p class="hint">${fact('ShapeTable', 'steps').named && state.welcome.schema.tables[named()[kind]].do.title}.</p>`;
}
