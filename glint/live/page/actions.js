// What the page asks of the server. All edits go through here.

import { change, state } from './state.js';

const REMEMBERED = 1000;
const sent = new Map();
let connection = null;

export function use(found) {
  connection = found;
}

export const current = () => connection;

/** Send a message; its seq, or 0 where there is no connection: the page says so already. */
export function send(message) {
  if (connection?.socket.readyState !== WebSocket.OPEN) return 0;
  const seq = connection.send(message);
  sent.set(seq, message);
  sent.delete(seq - REMEMBERED);
  return seq;
}

/** The message that was sent with a number, if it is not long ago: refusals name it. */
export const sentAs = (seq) => sent.get(seq);

/** Change keys of the scene: {path: value}. Edits in a row with one group are one step of undo. */
export function edit(changes, group = '') {
  const paths = Object.keys(changes);
  const left = state.problems.filter(({ path, remedies }) =>
    !paths.includes(path) && !remedies?.some((one) => one.changes === changes));
  if (left.length !== state.problems.length) change({ problems: left });
  return send({ type: 'edit', changes, ...(group && { group }) });
}

export function undo() {
  change({ undone: state.undone + 1, problems: [] });
  return send({ type: 'undo' });
}

export function redo() {
  change({ undone: state.undone + 1, problems: [] });
  return send({ type: 'redo' });
}

export const add = (what, more = {}) => send({ type: 'add', what, ...more });
export const remove = (what, number, more = {}) => send({ type: 'remove', what, number, ...more });

/** Say something to all who look or listen. */
export const say = (said) => change({ said });

let groups = 0;

/** A name for the edits of one drag. */
export const newGroup = () => `drag ${Date.now() % 1e7} ${(groups += 1)}`;
