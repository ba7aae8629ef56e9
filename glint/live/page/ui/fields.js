// Inputs that know a key of the scene: its bounds, unit, default, and what is wrong with it.

import { edit, newGroup } from '../actions.js';
import { at, state } from '../state.js';
import { html, newId, useEffect, useRef, useState } from './html.js';
import { Problem, problemsAt, useField } from './problems.js';
import { meant, shown, step, unit } from './units.js';

const TYPING_ENDS = 450; // ms

/** What the schema says of a key of one of its tables. */
export const fact = (table, key) => state.welcome.schema.tables[table]?.[key] ?? {};

/** An id, and the text of a field that stays while it is typed and until undo takes it back. */
function useDraft(value, path) {
  const own = useRef(null);
  own.current ??= { id: newId('field'), group: newGroup(), waiting: 0, sent: 0 };
  const [draft, setDraft] = useState(null);
  const mine = own.current;
  useField(path);
  useEffect(() => setDraft(null), [state.undone, path]);
  // What was typed stays until it is answered, and while it is wrong.
  const left = () => {
    if (mine.sent <= state.scene.seq && !problemsAt(path).length) setDraft(null);
  };
  useEffect(() => {
    if (document.activeElement?.id !== mine.id) left();
  }, [value, path, state.scene.revision]);
  return { mine, draft, setDraft, left };
}

/**
 * One key. path: as an edit has it; table, key: where the schema tells of it; value: as it is now,
 * if not what is filled in; also: changes that go with any; range: [least, most] of a slider.
 */
export function Field(props) {
  const { path, table, name, label, also, value: given, hint } = props;
  const known = fact(table, name);
  const value = given === undefined ? at(state.scene.filled, path) : given;
  const problems = problemsAt(path);
  const Input = { number: Num, whole: Num, choice: Choice, flag: Flag, colour: Colour }[known.kind] ?? Text;
  const send = (wished, group) => edit({ [path]: wished, ...also }, group);
  const whole = known.title && known.title !== label ? known.title : '';
  return html`<div class=${`field ${known.kind ?? 'text'} ${problems.length ? 'wrong' : ''}`}>
    <${Input} ...${props} known=${known} value=${value} send=${send} label=${label ?? known.title}
      title=${whole} wrong=${problems.length > 0} />
    ${hint && html`<p class="hint">${hint}</p>`}
    ${problems.map((one) => html`<${Problem} problem=${one} />`)}
  </div>`;
}

function Num({ path, known, value, label, title, send, wrong, range, placeholder, min, max }) {
  const { sign, factor } = unit(known.unit, state.inches);
  const { mine, draft, setDraft, left } = useDraft(value, path);
  const text = draft ?? shown(value, factor);
  const commit = (typed) => {
    clearTimeout(mine.waiting);
    if (typed === '' ? !known.needed && value !== null : meant(typed, factor) !== value) {
      mine.sent = send(typed === '' ? null : meant(typed, factor), mine.group);
    }
  };
  const type = ({ target }) => {
    setDraft(target.value);
    clearTimeout(mine.waiting);
    if (target.value !== '' && target.validity.badInput === false) {
      mine.waiting = setTimeout(() => commit(target.value), TYPING_ENDS);
    }
  };
  const slide = ({ target }) => {
    setDraft(null);
    send(meant(target.value, factor), mine.group);
  };
  const step_ = known.kind === 'whole' ? 1 : step(known.unit, state.inches);
  const limit = (own, of) => (own ?? (of === undefined ? undefined : of)) ?? undefined;
  const scaled = (v) => (v === undefined ? undefined : Number(shown(v, factor)));
  return html`<label for=${mine.id} title=${title}>${label}</label>
    ${range && html`<input type="range" aria-label=${`${label}, slider`} step="any"
      min=${range[0] * factor} max=${range[1] * factor} value=${Number(text) || 0}
      onPointerDown=${() => { mine.group = newGroup(); }} onInput=${slide} />`}
    <span class="measure">
      <input id=${mine.id} type="number" inputmode="decimal" step=${step_} value=${text}
        data-path=${path} data-draft=${draft === null ? undefined : ''} placeholder=${placeholder}
        min=${scaled(limit(min, known.least))} max=${scaled(limit(max, known.most))}
        aria-invalid=${wrong ? 'true' : undefined}
        onFocus=${() => { mine.group = newGroup(); }} onInput=${type}
        onChange=${({ target }) => commit(target.value)}
        onBlur=${left} />
      ${sign && html`<span class="unit" aria-hidden="true">${sign}</span>`}
    </span>`;
}

function Text({ path, value, label, title, send, wrong, placeholder }) {
  const { mine, draft, setDraft, left } = useDraft(value, path);
  const commit = ({ target }) => {
    if (target.value !== (value ?? '')) mine.sent = send(target.value || null, mine.group);
    else setDraft(null);
  };
  return html`<label for=${mine.id} title=${title}>${label}</label>
    <input id=${mine.id} type="text" value=${draft ?? value ?? ''} data-path=${path}
      data-draft=${draft === null ? undefined : ''} placeholder=${placeholder}
      aria-invalid=${wrong ? 'true' : undefined} autocomplete="off" spellcheck=${false}
      onInput=${({ target }) => setDraft(target.value)} onChange=${commit} onBlur=${left} />`;
}

/** names: {value: words} for choices that read badly; none: words for "without it". */
function Choice({ path, known, value, label, title, send, wrong, names = {}, none, choices }) {
  const { mine } = useDraft(value, path);
  const all = choices ?? known.choices ?? [];
  return html`<label for=${mine.id} title=${title}>${label}</label>
    <select id=${mine.id} value=${value ?? ''} data-path=${path} aria-invalid=${wrong ? 'true' : undefined}
      onChange=${({ target }) => send(target.value === '' ? null : target.value)}>
      ${none && html`<option value="" selected=${!value}>${none}</option>`}
      ${all.map((one) => html`<option value=${one} selected=${one === value}>${names[one] ?? one}</option>`)}
    </select>`;
}

function Flag({ path, value, label, title, send }) {
  const { mine } = useDraft(value, path);
  return html`<label class="switch" for=${mine.id} title=${title}>
    <input id=${mine.id} type="checkbox" role="switch" checked=${Boolean(value)} data-path=${path}
      onChange=${({ target }) => send(target.checked)} /> ${label}</label>`;
}

function Colour({ path, value, label, title, send, fallback = '#ffffff' }) {
  const { mine } = useDraft(value, path);
  return html`<label for=${mine.id} title=${title}>${label}</label>
    <input id=${mine.id} type="color" value=${value ?? fallback} data-path=${path}
      onFocus=${() => { mine.group = newGroup(); }}
      onInput=${({ target }) => send(target.value, mine.group)} />`;
}

/** A place in the room, as two or three numbers. shown: where it is while no key says so. */
export function Point({ path, label, value, axes = ['x', 'y', 'z'], also }) {
  const own = useRef(null);
  own.current ??= { id: newId('point'), group: newGroup(), waiting: 0 };
  useField(path);
  const [draft, setDraft] = useState({});
  useEffect(() => setDraft({}), [state.undone, String(value)]);
  const { sign, factor } = unit('metres', state.inches);
  const problems = problemsAt(path);
  const mine = own.current;
  const type = (i, text, wait) => {
    setDraft({ ...draft, [i]: text });
    clearTimeout(mine.waiting);
    if (text === '') return;
    const wished = axes.map((_, k) => (k === i ? meant(text, factor) : Number(value[k].toFixed(4))));
    const commit = () => edit({ [path]: wished, ...also }, mine.group);
    if (wait) mine.waiting = setTimeout(commit, TYPING_ENDS);
    else if (Math.abs(wished[i] - value[i]) > 1e-9) commit();
  };
  return html`<fieldset class=${`field point ${problems.length ? 'wrong' : ''}`}>
    <legend>${label} <span class="unit">${sign}</span></legend>
    ${axes.map((axis, i) => html`<label key=${axis}><span>${axis}</span>
      <input type="number" inputmode="decimal" step=${step('metres', state.inches)}
        aria-label=${`${label}, ${axis}`} data-path=${`${path}[${i}]`}
        value=${draft[i] ?? shown(value[i], factor)}
        onFocus=${() => { mine.group = newGroup(); }}
        onInput=${({ target }) => type(i, target.value, true)}
        onChange=${({ target }) => type(i, target.value, false)} /></label>`)}
    ${problems.map((one) => html`<${Problem} problem=${one} />`)}
  </fieldset>`;
}

/** A few choices side by side, of which one is taken: [{value, words}]. */
export function Segments({ label, name, value, options, onPick }) {
  return html`<fieldset class="segments"><legend class="hidden">${label}</legend>
    ${options.map(({ value: one, words }) => html`<label key=${one}>
      <input type="radio" name=${name} value=${one} checked=${one === value} onChange=${() => onPick(one)} />
      <span>${words}</span></label>`)}
  </fieldset>`;
}
