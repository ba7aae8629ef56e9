// Begins to draw the light in the browser, and says why where it cannot.

import { change, state } from '../state.js';

/** Give a picture its light; without WebGL2 it stays with the server's frames. */
export async function startLight(picture, canvas) {
  change({ picture: { ...state.picture, why: 'this page has no light of its own yet' } });
}
