// The page: connects, keeps what arrives in the state, and draws the controls from it.

import { redo, sentAs, undo, use } from './actions.js';
import { Connection } from './connection.js';
import { change, listen, remembered, state } from './state.js';
import { App } from './ui/app.js';
import { candidatesCame, figuresCame } from './ui/candidates.js';
import { html, render } from './ui/html.js';
import { withRemedy } from './ui/problems.js';
import { Picture } from './ui/picture.js';
import { shortcut } from './ui/shortcuts.js';

// The address loses its token, so that nobody reads it over a shoulder; a reload finds it here.
const kept = sessionStorage.getItem('glint token') ?? '';
const token = location.hash.slice(1) || kept;
if (token !== kept) sessionStorage.removeItem('glint notes'); // of another evening
sessionStorage.setItem('glint token', token);
history.replaceState(null, '', location.pathname);

const picture = new Picture();
const AGAIN = [500, 1000, 2000, 4000, 8000];
const OF_FILES = ['export', 'save', 'cancel', 'drop']; // whose problems an edit does not solve
let tries = 0;

const RECEIVE = {
  welcome: (welcome) => change({ welcome, closed: null }),
  scene({ facts, arrays }) {
    tries = 0;
    document.title = `${facts.title} · glint live`;
    const kept = state.problems.filter((one) => one.seq > facts.seq || OF_FILES.includes(one.doing));
    const ball = Math.min(state.ball, facts.balls.length - 1);
    change({ scene: facts, polygons: arrays, problems: kept, closed: null, ball });
    picture.light?.setScene?.(facts, arrays);
    picture.ask();
  },
  pose: (message) => picture.pose(message),
  picture: (message) => picture.picture(message),
  paint: (message) => picture.light?.setPaint?.(message.facts, message.arrays),
  strings: (message) => picture.light?.setStrings?.(message.facts, message.arrays),
  shapes: ({ arrays, facts }) => change({ shapes: { ...arrays, radius: facts.radius } }),
  figures(figures) {
    if (figures.revision !== state.scene?.revision) return;
    change({ figures });
    figuresCame(figures);
  },
  candidates: ({ candidates }) => candidatesCame(candidates),
  recovered: (recovered) => change({ recovered }),
  saved: (saved) => change({ saved, said: `Saved as ${saved.path}.` }),
  job: (job) => change({ jobs: { ...state.jobs, [job.id]: job } }),
  problem({ problems, doing, seq }) {
    const found = problems.map((one) => withRemedy({ ...one, doing, seq }, state.scene, sentAs(seq)));
    const paths = found.map(({ path }) => path).filter(Boolean);
    const others = state.problems.filter((one) => one.doing !== doing && !paths.includes(one.path));
    change({ problems: [...others, ...found], said: found[0]?.text ?? '' });
    if (doing === 'save') change({ tab: 'take' });
    if (doing === 'pose' && !state.picture.source) document.body.dataset.state = 'problem';
  },
  closed({ code, reason }) {
    const final = code === 1008 || code === 1009;
    const wait = AGAIN[Math.min(tries, AGAIN.length - 1)];
    const why = reason || 'glint does not answer. Is it still running?';
    change({ closed: { why, final: final || tries >= AGAIN.length }, playing: false });
    document.body.dataset.state = 'problem';
    tries += 1;
    if (!state.closed.final) setTimeout(connect, wait);
  },
};

function connect() {
  const connection = new Connection(token);
  for (const [type, receive] of Object.entries(RECEIVE)) {
    connection.addEventListener(type, ({ detail }) => receive(detail));
  }
  picture.sent = '';
  use(connection);
}

const again = () => {
  tries = 0;
  connect();
};

change({ inches: remembered('inches', false) === true });
const root = document.getElementById('app');
root.textContent = '';
const draw = () => render(html`<${App} state=${state} picture=${picture} again=${again} />`, root);
listen(draw);
draw();
// The address of another server, put into this page's own bar, differs in its token alone.
addEventListener('hashchange', () => location.hash && location.reload());
addEventListener('keydown', (event) => shortcut(event, { picture, undo, redo }));
connect();
