// Figures of the evening, while it turns and over a turn.

import { html } from './html.js';
import { FIGURES } from './words.js';

const SHOWN = ['spots', 'brightness_lux', 'gap_deg', 'cover_share', 'speed_m_s', 'tiles', 'grams', 'gluing_h', 'string_lumens_out'];

function Figure({ name, now, turn, inches }) {
  const [words, read, , meaning] = FIGURES[name];
  const { text, sign } = read(now ?? null, inches);
  const [mean, least, most] = (turn ?? []).map((value) => read(value, inches).text);
  const over = mean !== undefined && least !== most ? `${least}–${most}` : '';
  return html`<div class="figure" title=${meaning}>
    <dt>${words}</dt>
    <dd><b>${text}</b>${sign && html` <span class="unit">${sign}</span>`}
      <span class="over">${over && html`<span class="hidden">over a turn </span>${over}`}</span></dd>
  </div>`;
}

export function Figures({ state }) {
  const { figures, inches } = state;
  const now = figures?.now ?? {};
  const names = SHOWN.filter((name) => name !== 'string_lumens_out' || (now[name] ?? null) !== null);
  return html`<section class="figures" aria-label="Figures" aria-busy=${figures?.progress != null}>
    <dl>${names.map((name) => html`<${Figure} key=${name} name=${name} now=${now[name]} turn=${figures?.turn?.[name]} inches=${inches} />`)}</dl>
    ${figures?.progress != null && html`<progress aria-label="Looking at a whole turn" max="1" value=${figures.progress}></progress>`}
  </section>`;
}
