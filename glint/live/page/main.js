// The page: connects, and for now tells what arrives.

import { Connection } from './connection.js';

const said = document.getElementById('said');
const connection = new Connection(location.hash.slice(1));
history.replaceState(null, '', location.pathname);

connection.addEventListener('scene', ({ detail }) => {
  document.title = `${detail.facts.title} · glint live`;
  connection.pose({ seconds: 0 });
});
connection.addEventListener('pose', ({ detail }) => {
  said.textContent = `${detail.arrays.beam.shape[0]} beams at ${detail.facts.seconds.toFixed(2)} s`;
  document.body.dataset.state = 'ready';
});
connection.addEventListener('closed', ({ detail }) => {
  said.textContent = detail.reason || 'The connection is closed: is glint still running?';
  document.body.dataset.state = 'problem';
});
