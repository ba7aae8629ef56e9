// Where things hang and stand, and what the lamps are.

import { add, edit, newGroup, remove } from '../actions.js';
import { change, state } from '../state.js';
import { Drawing } from './drawing.js';
import { Field, Point, Segments } from './fields.js';
import { html, useRef } from './html.js';
import { outline } from './outline.js';

const WARM = 2700;
const COOL = 6500;
const BY = { vertex: 'a corner', face: 'a face', edge: 'an edge', opening: 'the opening' };

function Chips() {
  const { scene, chosen } = state;
  const all = [
    ...scene.balls.map(({ name }, number) => ({ kind: 'ball', number, words: name })),
    ...scene.lamps.map(({ name }, number) => ({ kind: 'lamp', number, words: name })),
    ...scene.filled.string.map(({ name }, number) => ({ kind: 'string', number, words: name ?? `string ${number + 1}` })),
    { kind: 'eye', number: 0, words: 'my eye' },
  ].map((one) => ({ ...one, value: `${one.kind} ${one.number}` }));
  const pick = (value) => {
    const { kind, number } = all.find((one) => one.value === value);
    change({ chosen: { kind, number }, ...(kind === 'ball' && { ball: number }) });
  };
  return html`<${Segments} label="What to move" name="thing" value=${`${chosen.kind} ${chosen.number}`} options=${all} onPick=${pick} />
    <div class="row adds" role="group" aria-label="Add">
      <button type="button" class="quiet" onClick=${() => add('ball')}>+ Ball</button>
      <button type="button" class="quiet" onClick=${() => add('lamp')}>+ Lamp</button>
      <button type="button" class="quiet" onClick=${() => add('string', { ball: state.ball })}>+ String light</button></div>`;
}

function Ball({ number }) {
  const path = `ball[${number}]`;
  const ball = state.scene.balls[number];
  const { motion } = state.scene.filled.ball[number];
  const field = (key, name, table, label, more = {}) => html`<${Field} path=${`${path}.${key}.${name}`} table=${table} name=${name} label=${label} ...${more} />`;
  const swings = motion.swing_deg !== null;
  const twists = motion.twist_turns !== null;
  const flip = (keys, on) => edit(Object.fromEntries(Object.entries(keys).map(([key, v]) => [`${path}.motion.${key}`, on ? v : null])));
  const top = outline(state.scene.room).height;
  return html`
    <div class="row"><${Field} path=${`${path}.name`} table="BallTable" name="name" label="Name" value=${ball.name} />
      ${field('hang', 'by', 'HangTable', 'Hangs by', { names: BY, none: 'as it comes' })}</div>
    <${Point} path=${`${path}.hang.at_m`} label="Hangs at" value=${ball.centre.slice(0, 2)} axes=${['x', 'y']} />
    ${field('hang', 'height_m', 'HangTable', 'Height of its middle', { value: ball.centre[2], range: [0.2, top] })}
    ${field('motion', 'rpm', 'MotionTable', 'Turns a minute', { range: [-6, 6], value: motion.rpm ?? 0 })}
    <details open=${swings || twists}><summary>Cord, swing and twist</summary>
      <div class="row">${field('hang', 'cord_m', 'HangTable', 'Cord', { placeholder: 'to the roof' })}
        ${field('motion', 'phase_deg', 'MotionTable', 'Angle at the start')}</div>
      <label class="switch"><input type="checkbox" role="switch" checked=${swings}
        onChange=${({ target }) => flip({ swing_deg: 8, swing_towards_deg: motion.swing_towards_deg, swing_phase_deg: motion.swing_phase_deg }, target.checked)} /> Swings</label>
      ${swings && html`<div class="row">${field('motion', 'swing_deg', 'MotionTable', 'Leans')}${field('motion', 'swing_towards_deg', 'MotionTable', 'Towards')}</div>`}
      <label class="switch"><input type="checkbox" role="switch" checked=${twists}
        onChange=${({ target }) => flip({ twist_turns: 3, twist_period_s: 60, twist_phase_deg: motion.twist_phase_deg }, target.checked)} /> Twists freely on its cord</label>
      ${twists && html`<div class="row">${field('motion', 'twist_turns', 'MotionTable', 'Wound by')}${field('motion', 'twist_period_s', 'MotionTable', 'There and back in')}</div>`}
    </details>
    <button type="button" class="quiet bad" disabled=${state.scene.balls.length === 1} onClick=${() => gone('ball', number)}>Take this ball down</button>`;
}

function gone(what, number) {
  remove(what, number);
  change({ chosen: { kind: 'ball', number: 0 }, ball: 0 });
}

/** Colours that the LEDs of a string take in turns. */
function Colours({ path, colours }) {
  const group = useRef('');
  const put = (i, one) => edit({ [path]: colours.map((old, k) => (k === i ? one : old)) }, group.current);
  return html`<div class="colours" role="group" aria-label="Colours in turn">${colours.map((one, i) => html`<input key=${i} type="color"
    value=${one} aria-label=${`Colour ${i + 1} of ${colours.length}`} onFocus=${() => { group.current = newGroup(); }}
    onInput=${({ target }) => put(i, target.value)} />`)}</div>`;
}

function Light({ path, table, row }) {
  const tint = row.colour ? 'coloured' : (row.kelvin ?? 3200) >= 4500 ? 'cool' : 'warm';
  const pick = (one) => edit({
    [`${path}.kelvin`]: { warm: WARM, cool: COOL, coloured: null }[one],
    [`${path}.colour`]: one === 'coloured' ? '#ff7a3c' : null,
  });
  return html`<${Segments} label="Light" name=${`tint ${path}`} value=${tint} onPick=${pick}
      options=${[{ value: 'warm', words: 'Warm' }, { value: 'cool', words: 'Cool' }, { value: 'coloured', words: 'Coloured' }]} />
    ${Array.isArray(row.colour) ? html`<${Colours} path=${`${path}.colour`} colours=${row.colour} />`
    : tint === 'coloured' ? html`<${Field} path=${`${path}.colour`} table="LampTable" name="colour" label="Colour"
      value=${row.colour} />`
    : html`<${Field} path=${`${path}.kelvin`} table=${table} name="kelvin" label="Colour temperature" range=${[1800, 9000]} />`}`;
}

function Lamp({ number }) {
  const path = `lamp[${number}]`;
  const lamp = state.scene.lamps[number];
  const row = state.scene.filled.lamp[number];
  const balls = state.scene.balls.map(({ name }) => name);
  const isPoint = Array.isArray(row.aim);
  const aim = (wished) => edit({ [`${path}.aim`]: wished === 'point' ? state.scene.balls[0].centre.map((v) => Number(v.toFixed(2))) : wished });
  const field = (name, label, more = {}) => html`<${Field} path=${`${path}.${name}`} table="LampTable" name=${name} label=${label} ...${more} />`;
  const lumens = Number(lamp.lumens.toPrecision(4));
  return html`
    <div class="row">${field('name', 'Name', { value: lamp.name })}
      <div class="field choice"><label for="aim">Points at</label>
        <select id="aim" value=${isPoint ? 'point' : row.aim} onChange=${({ target }) => aim(target.value)}>
          ${balls.map((one) => html`<option value=${one} selected=${one === row.aim}>${one}</option>`)}
          <option value="point" selected=${isPoint}>a place</option></select></div></div>
    <${Point} path=${`${path}.at_m`} label="Stands at" value=${lamp.at} />
    ${isPoint && html`<${Point} path=${`${path}.aim`} label="Points at" value=${row.aim} />`}
    <${Light} path=${path} table="LampTable" row=${row} />
    ${row.file ? html`<p class="hint">Beam from the lamp file ${row.file}.</p>` : field('beam_deg', 'Beam angle', { range: [1, 60], also: { [`${path}.field_deg`]: null } })}
    <div class="row">${field('lumens', 'Light of the lamp', { value: row.lumens ?? lumens, also: row.file ? {} : { [`${path}.peak_cd`]: null } })}
      ${field('lens_mm', 'Lens')}</div>
    <button type="button" class="quiet bad" disabled=${state.scene.lamps.length + state.scene.filled.string.length === 1} onClick=${() => gone('lamp', number)}>Take this lamp away</button>`;
}

function StringLight({ number }) {
  const path = `string[${number}]`;
  const row = state.scene.filled.string[number];
  const field = (name, label, more = {}) => html`<${Field} path=${`${path}.${name}`} table="StringTable" name=${name} label=${label} ...${more} />`;
  return html`<div class="row">${field('leds', 'LEDs')}${field('led_lumens', 'Light of each')}</div>
    ${state.scene.balls.length > 1 && field('ball', 'Lies in', {})}
    <${Light} path=${path} table="StringTable" row=${row} />
    <div class="row">${field('lay', 'Lies as', { none: 'as it comes', choices: ['bundle', 'coil'] })}${field('twinkle_s', 'Twinkles every', { placeholder: 'steady' })}</div>
    <p class="hint">Its light leaves by seams, cut corners, holes and open faces: see Shape.</p>
    <button type="button" class="quiet bad" disabled=${state.scene.lamps.length + state.scene.filled.string.length === 1} onClick=${() => gone('string', number)}>Take this string out</button>`;
}

function Eye() {
  const { eye } = state.scene;
  return html`<${Point} path="eye.at_m" label="Stands at" value=${eye.at_m} />
    <${Point} path="eye.look_m" label="Looks at" value=${eye.look_m} />
    <${Field} path="eye.fov_deg" table="EyeTable" name="fov_deg" label="Width of the view" range=${[20, 110]} />`;
}

const FORMS = { ball: Ball, lamp: Lamp, string: StringLight, eye: Eye };

export function PlacePanel() {
  const { kind, number } = state.chosen;
  const { scene } = state;
  const count = { ball: scene.balls.length, lamp: scene.lamps.length, string: scene.filled.string.length, eye: 1 }[kind];
  const here = number < count ? state.chosen : { kind: 'ball', number: 0 };
  const Form = FORMS[here.kind];
  return html`<${Chips} />
    <div class="drawings"><${Drawing} axes=${[0, 1]} title="From above" /><${Drawing} axes=${[0, 2]} title="From the side" /></div>
    <section class="group form" key=${`${here.kind} ${here.number}`} aria-label="What is chosen"><${Form} number=${here.number} /></section>`;
}
