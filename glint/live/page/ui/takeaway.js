// What one takes home: the scene, pictures, a loop, the report, the build sheet, the geometry.

import { send } from '../actions.js';
import { change, state } from '../state.js';
import { html, useState } from './html.js';
import { words } from './problems.js';

const KINDS = [
  { kind: 'still', words: 'A picture', hint: 'A still of this moment, as PNG.', ending: '.png', views: true, sizes: true },
  { kind: 'loop', words: 'A loop', hint: 'Seamless, for a phone or a screen.', endings: ['.mp4', '.gif', '.webp'], views: true, sizes: true },
  { kind: 'report', words: 'The report', hint: 'Every figure on one page; with candidates, side by side.', ending: '.html' },
  { kind: 'build', words: 'The build sheet', hint: 'Tiles, order of work, angles, weight, and the net to print.', ending: '' },
  { kind: 'glb', words: 'The body', hint: 'Its geometry for other programs.', endings: ['.glb', '.stl', '.obj', '.ply'] },
];
const SIZES = { square: 'Square, 1080', upright: 'Upright, 1080 × 1920', wide: 'Wide, 1920 × 1080' };
const VIEWS = { eye: 'What a guest sees', dome: 'Overhead', floor: 'Floor', wall: 'Walls' };
const STATES = { waiting: 'Waiting', running: 'Working', done: 'Done', failed: 'Failed', cancelled: 'Cancelled' };

let orders = 0;
const asked = new Map(); // seq of a request: what it was, to find whose problem one is

const stem = () => (state.scene.path ?? 'evening.toml').replace(/\.toml$/, '');

/** Seconds to come as people say them. */
export function left(seconds) {
  if (seconds === null || seconds === undefined) return '';
  if (seconds < 90) return `${Math.max(Math.round(seconds), 1)} s left`;
  return `${Math.round(seconds / 60)} min left`;
}

const problemOf = (kind) => state.problems.find(
  (one) => ['export', 'save', 'cancel'].includes(one.doing) && asked.get(one.seq)?.kind === kind);

function Refused({ kind, again }) {
  const problem = problemOf(kind);
  if (!problem) return null;
  const isThere = /exists|changed|another program/.test(problem.text);
  return html`<div class="problem"><p>${words(problem)}</p>
    ${isThere && html`<button type="button" onClick=${again}>Replace it</button>`}</div>`;
}

const forget = (kind) => change({ problems: state.problems.filter((one) => asked.get(one.seq)?.kind !== kind) });

function Job({ job }) {
  if (!job) return null;
  const busy = job.state === 'waiting' || job.state === 'running';
  return html`<div class=${`job ${job.state}`}>
    ${busy && html`<progress aria-label="Progress" max=${job.total || 1} value=${job.total ? job.done : undefined}></progress>`}
    <p><span role="status">${STATES[job.state]}${job.written?.length ? `: ${job.written.join(', ')}` : ''}</span>
      ${job.text && html` <span class="unit">${job.text}</span>`} <span class="unit">${busy ? left(job.seconds_left) : ''}</span></p>
    ${busy && html`<button type="button" class="quiet" onClick=${() => send({ type: 'cancel', id: job.id })}>Cancel</button>`}
  </div>`;
}

function Select({ id, label, value, options, names, onPick }) {
  return html`<div class="field choice"><label for=${id}>${label}</label>
    <select id=${id} onChange=${({ target }) => onPick(target.value)}>${options.map((one) =>
      html`<option value=${one} selected=${one === value}>${names?.[one] ?? one}</option>`)}</select></div>`;
}

function Order({ what, picture }) {
  const { kind, endings, ending = endings?.[0] } = what;
  const [name, setName] = useState(null);
  const [end, setEnd] = useState(ending);
  const [view, setView] = useState(state.view === 'dome' ? 'dome' : 'eye');
  const [size, setSize] = useState('square');
  const [id, setId] = useState('');
  const named = name ?? (kind === 'build' ? `${stem()}-build` : stem());
  const job = state.jobs[id];
  const order = (force) => {
    forget(kind);
    orders += 1;
    const mine = `${kind} ${Date.now() % 1e8} ${orders}`;
    setId(mine);
    const seq = send({
      type: 'export', id: mine, kind, path: named + end, seconds: picture.seconds,
      ...(what.views && { view }), ...(what.sizes && { size }), ...(force && { force: true }),
    });
    asked.set(seq, { kind });
  };
  const submit = (event) => {
    event.preventDefault();
    order(false);
  };
  return html`<form class="order" onSubmit=${submit} aria-label=${what.words}>
    <h3>${what.words}</h3><p class="hint">${what.hint}</p>
    <div class="row">
      <div class="field"><label for=${`name-${kind}`}>${kind === 'build' ? 'Folder' : 'File'}</label>
        <input id=${`name-${kind}`} type="text" value=${named} onInput=${({ target }) => setName(target.value)} /></div>
      ${endings && html`<${Select} id=${`end-${kind}`} label="As" value=${end} options=${endings} onPick=${setEnd} />`}
      ${what.views && html`<${Select} id=${`view-${kind}`} label="View" value=${view} options=${state.welcome.views} names=${VIEWS} onPick=${setView} />`}
      ${what.sizes && html`<${Select} id=${`size-${kind}`} label="Size" value=${size} options=${state.welcome.sizes} names=${SIZES} onPick=${setSize} />`}
    </div>
    <${Refused} kind=${kind} again=${() => order(true)} />
    <${Job} job=${job} />
    <button type="submit" disabled=${job && ['waiting', 'running'].includes(job.state)}>Make it</button>
  </form>`;
}

/** Save under a name, or under the scene's own. */
export function save(path, force = false) {
  forget('scene');
  const isFile = state.saved || state.welcome.scenes.includes(state.scene.path);
  const own = !path || (isFile && path === state.scene.path);
  const wished = own && isFile ? {} : { path: path ?? state.scene.path };
  asked.set(send({ type: 'save', ...wished, ...(force && { force }) }), { kind: 'scene' });
}

function Scene() {
  const [name, setName] = useState(null);
  const named = name ?? stem();
  const submit = (event) => {
    event.preventDefault();
    save(`${named}.toml`);
  };
  return html`<form class="order" onSubmit=${submit} aria-label="The scene">
    <h3>The scene</h3><p class="hint">Everything as it is now, into the folder ${state.welcome.folder}. Comments stay.</p>
    <div class="field"><label for="name-scene">File</label><span class="measure">
      <input id="name-scene" type="text" value=${named} onInput=${({ target }) => setName(target.value)} /><span class="unit">.toml</span></span></div>
    <${Refused} kind="scene" again=${() => save(`${named}.toml`, true)} />
    ${state.saved && !state.scene.unsaved && html`<p class="job done" role="status">Saved as ${state.saved.path}.</p>`}
    <button type="submit" class="main">Save</button>
  </form>`;
}

function Open() {
  const { scenes } = state.welcome;
  const [wanted, setWanted] = useState('');
  if (!scenes.length) return null;
  const open = (event) => {
    event.preventDefault();
    if (wanted) send({ type: 'open', path: wanted });
    change({ eye: null, ball: 0, chosen: { kind: 'ball', number: 0 } });
  };
  return html`<form class="order" onSubmit=${open} aria-label="Another scene"><h3>Another scene</h3>
    ${state.scene.unsaved && html`<p class="hint">What is not saved here is offered back later.</p>`}
    <div class="row end"><${Select} id="open" label="From this folder" value=${wanted} options=${['', ...scenes]} onPick=${setWanted} />
    <button type="submit" disabled=${!wanted}>Open</button></div></form>`;
}

export function TakeAway({ picture }) {
  return html`<${Scene} />${KINDS.map((what) => html`<${Order} key=${what.kind} what=${what} picture=${picture} />`)}<${Open} />`;
}
