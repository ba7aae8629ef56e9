// What was refused, at the field that it belongs to, with its remedy as a button.

import { edit } from '../actions.js';
import { change, state } from '../state.js';
import { html, useEffect, useRef } from './html.js';
import { attempted, remedies } from './leftover.js';

const LONGEST = 170;
const SEAM_MM = 4; // enough for the light of a string to leave by
const BORDER_MM = 6; // of a panel round its tile: room for fingers and glue
const fields = new Map(); // paths of the fields that are shown, and how many there are of each

/** Problems at a path, or within it. */
export const problemsAt = (path) =>
  state.problems.filter((one) => one.path === path || one.path?.startsWith(`${path}[`));

/** While a field is shown, its problems stand there and nowhere else. */
export function useField(path) {
  useEffect(() => {
    fields.set(path, (fields.get(path) ?? 0) + 1);
    return () => fields.set(path, fields.get(path) - 1);
  }, [path]);
}

const hasField = (path) =>
  [...fields].some(([field, count]) => count > 0 && (field === path || path.startsWith(`${field}[`)));

/** A problem with remedies that take more than the one key that it is at. request: what was refused. */
export function withRemedy(problem, scene, request) {
  const { path = '', found, allowed = '', doing } = problem;
  if (problem.remedy) return { ...problem, remedies: [problem.remedy] };
  const steps = remedies(allowed, attempted(request, scene.tables));
  if (steps.length) return { ...problem, remedies: steps };
  const row = path.match(/^string\[\d+\]/)?.[0];
  if (row && doing === 'add' && allowed.includes('seam_mm')) {
    const ball = scene.balls.findIndex(({ name }) => found.includes(`"${name}"`));
    const own = scene.tables.ball[ball]?.tile && 'seam_mm' in scene.tables.ball[ball].tile;
    const seam = own ? `ball[${ball}].tile.seam_mm` : 'tile.seam_mm';
    const changes = { [seam]: SEAM_MM, [row]: { ball: scene.balls[ball]?.name } };
    return { ...problem, remedies: [{ words: `leave seams of ${SEAM_MM} mm, and put it in`, changes }] };
  }
  if (path.endsWith('tile.edge_mm') && allowed.includes('panel_edge_mm') && Number(found) > 0) {
    const panel = Number(found) + BORDER_MM;
    const changes = { [path]: Number(found), [path.replace('edge_mm', 'panel_edge_mm')]: panel };
    return { ...problem, remedies: [{ words: `with panels of ${panel} mm`, changes }] };
  }
  return problem;
}

function short(text) {
  return text.length > LONGEST ? `${text.slice(0, LONGEST)} …` : text;
}

/** What is wrong in words, without the place where the reader is looking anyway. */
export function words({ found, allowed, text, remedies: buttons }) {
  if (buttons?.length && allowed?.startsWith('add {')) return `Not finished: ${short(found)}, which no tile fits.`;
  return allowed ? `Found ${short(found)}. Allowed: ${short(allowed)}.` : short(text);
}

export function Problem({ problem, id, place }) {
  const own = useRef(null);
  useEffect(() => own.current.scrollIntoView({ block: 'nearest' }), []);
  return html`<div class="problem" id=${id} ref=${own}>
    <p>${place && problem.where ? html`<b>${problem.where}</b> ` : ''}${words(problem)}</p>
    ${(problem.remedies ?? []).map((one) => html`<button type="button" onClick=${() => edit(one.changes)}>${one.words}</button>`)}
  </div>`;
}

/** Problems of fields that are not shown, above the panel. */
export function Problems({ doing = ['edit', 'add', 'remove', 'undo', 'redo', 'back', 'keep', 'open', 'view', 'pose', 'recover', 'figures', 'strings'] }) {
  const homeless = state.problems.filter(
    (one) => doing.includes(one.doing) && !(one.path && hasField(one.path)));
  if (!homeless.length) return null;
  const dismiss = () => change({ problems: state.problems.filter((one) => !homeless.includes(one)) });
  return html`<section class="problems" aria-label="What could not be done">
    ${homeless.slice(0, 4).map((one) => html`<${Problem} problem=${one} place=${true} />`)}
    <button type="button" class="quiet" onClick=${dismiss}>Leave it as it was</button>
  </section>`;
}
