// The page as a whole: the evening first, and beside it one panel at a time.

import { send } from '../actions.js';
import { change } from '../state.js';
import { Candidates } from './candidates.js';
import { Figures } from './figures.js';
import { Header } from './header.js';
import { html, useRef } from './html.js';
import { PlacePanel } from './place.js';
import { Problems } from './problems.js';
import { RoomPanel } from './room.js';
import { ShapePanel } from './shape.js';
import { Stage } from './stage.js';
import { TakeAway } from './takeaway.js';
import { Transport } from './transport.js';

const TABS = [
  ['shape', 'Shape', ShapePanel],
  ['place', 'Place', PlacePanel],
  ['room', 'Room', RoomPanel],
  ['compare', 'Compare', Candidates],
  ['take', 'Take away', TakeAway],
];

function Tabs({ tab }) {
  const list = useRef(null);
  const move = (event) => {
    const steps = { ArrowRight: 1, ArrowLeft: -1, Home: -99, End: 99 };
    const by = steps[event.key];
    if (!by) return;
    event.preventDefault();
    const here = TABS.findIndex(([name]) => name === tab);
    const count = TABS.length;
    const next = by > 9 ? count - 1 : by < -9 ? 0 : (here + by + count) % count;
    change({ tab: TABS[next][0] });
    list.current.children[next].focus();
  };
  return html`<div class="tabs" role="tablist" aria-label="What to change" ref=${list} onKeyDown=${move}>
    ${TABS.map(([name, words]) => html`<button type="button" role="tab" key=${name} id=${`tab-${name}`}
      aria-selected=${name === tab ? 'true' : 'false'} aria-controls="panel"
      tabindex=${name === tab ? 0 : -1} onClick=${() => change({ tab: name })}>${words}</button>`)}
  </div>`;
}

function Recovered({ recovered }) {
  if (!recovered) return null;
  const answer = (take) => {
    send({ type: 'recover', take });
    change({ recovered: null });
  };
  const when = new Date(recovered.when * 1000).toLocaleString([], { dateStyle: 'medium', timeStyle: 'short' });
  const count = recovered.edits === 1 ? 'One edit' : `${recovered.edits} edits`;
  return html`<section class="banner" aria-label="Unsaved edits">
    <p><b>${count}</b> ${recovered.title && html`of <i>${recovered.title}</i>`} from ${when} ${recovered.edits === 1 ? 'was' : 'were'} not saved.</p>
    <button type="button" class="main" onClick=${() => answer(true)}>Take back</button>
    <button type="button" class="quiet" onClick=${() => answer(false)}>Let go</button>
  </section>`;
}

function Closed({ closed, again }) {
  if (!closed) return null;
  return html`<section class="banner bad" role="alert">
    <p>${closed.why} ${closed.final ? '' : 'Trying again …'}</p>
    ${closed.final && html`<button type="button" class="main" onClick=${again}>Try again</button>`}
  </section>`;
}

export function App({ state, picture, again }) {
  const { scene, welcome } = state;
  const ready = scene && welcome;
  const Panel = TABS.find(([name]) => name === state.tab)[2];
  return html`
    <a class="skip" href="#panel">To the controls</a>
    <${Header} ready=${ready} state=${state} />
    <${Closed} closed=${state.closed} again=${again} />
    <${Recovered} recovered=${state.recovered} />
    ${welcome?.trouble && html`<section class="banner bad"><p>${welcome.trouble}</p></section>`}
    <main>
      <div class="evening">
        <${Stage} state=${state} picture=${picture} />
        ${ready && html`<${Transport} state=${state} picture=${picture} />
        <${Figures} state=${state} />`}
      </div>
      <div class="side">
        <${Tabs} tab=${state.tab} />
        <div class="panel" id="panel" role="tabpanel" tabindex="-1" aria-labelledby=${`tab-${state.tab}`}>
          ${ready ? html`<${Problems} /><${Panel} state=${state} picture=${picture} />` : html`<p class="hint">Waiting for glint …</p>`}
        </div>
      </div>
    </main>
    <p class="hidden" role="status" aria-live="polite">${state.said}</p>`;
}
