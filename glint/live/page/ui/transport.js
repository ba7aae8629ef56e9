// Play, slow, scrub; and how often spots pass an eye.

import { edit } from '../actions.js';
import { change } from '../state.js';
import { clockText, MOST_PASSES, passesOf, periodOf, rateOf } from './clock.js';
import { html, useEffect, useRef } from './html.js';
import { readable } from './units.js';

/** The share of its speed that every ball that turns would have, as edits. */
function calmed(balls, share) {
  const turning = balls.map((ball, i) => [i, ball.motion.rpm]).filter(([, rpm]) => rpm);
  return Object.fromEntries(turning.map(([i, rpm]) => {
    const slower = Math.floor(Math.abs(rpm) * share * 100) / 100;
    return [`ball[${i}].motion.rpm`, Math.sign(rpm) * slower];
  }));
}

function Flicker({ state, passes, held, rate }) {
  const much = passes > MOST_PASSES;
  const changes = much ? calmed(state.scene.filled.ball, (0.95 * MOST_PASSES) / passes) : {};
  return html`<div class=${`flicker ${much ? 'much' : ''}`}>
    <p><span class="label">flicker</span> <b>${readable(passes)}</b> <span class="unit">a second</span></p>
    ${much && html`<div class="warning"><span role="alert">Spots pass an eye more than three times a second. That can harm photosensitive guests.</span>
      ${Object.keys(changes).length > 0 && html` <button type="button" onClick=${() => edit(changes)}>Turn slower</button>`}
      <label class="switch"><input type="checkbox" role="switch" checked=${state.capped}
        onChange=${({ target }) => change({ capped: target.checked })} /> Show it slowed below three</label>
      ${held && html` <span class="unit">now at ${Math.round(rate * 100)} % of its speed</span>`}</div>`}
  </div>`;
}

export function Transport({ state, picture }) {
  const scrub = useRef(null);
  const clock = useRef(null);
  const period = periodOf(state.scene.filled.ball);
  const passes = passesOf(state.figures);
  const { rate, held } = rateOf({ ...state, passes });
  useEffect(() => {
    const tick = () => {
      const here = picture.seconds % period;
      if (document.activeElement !== scrub.current || state.playing) scrub.current.value = here;
      scrub.current.setAttribute('aria-valuetext', `${here.toFixed(1)} seconds of ${period.toFixed(0)}`);
      clock.current.textContent = clockText(here);
    };
    tick();
    picture.addEventListener('tick', tick);
    return () => picture.removeEventListener('tick', tick);
  }, [period, state.playing]);
  return html`<section class="transport" aria-label="Time">
    <button type="button" class="play" onClick=${() => picture.play(!state.playing)} aria-label=${state.playing ? 'Pause' : 'Play'} title="Space bar">
      <span aria-hidden="true" class=${state.playing ? 'bars' : 'arrow'}></span></button>
    <span class="clock" ref=${clock}></span>
    <input type="range" class="scrub" ref=${scrub} aria-label="Moment of the turn" min="0" max=${period} step="0.1"
      onInput=${({ target }) => picture.seek(Number(target.value))} />
    <label class="switch"><input type="checkbox" role="switch" id="slow" checked=${state.slow}
      onChange=${({ target }) => change({ slow: target.checked })} /> Slow</label>
    <${Flicker} state=${state} passes=${passes} held=${held} rate=${rate} />
  </section>`;
}
