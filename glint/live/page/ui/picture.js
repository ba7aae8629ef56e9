// The picture: asks for poses, draws what comes, and lets the exact picture fade in at rest.

import { current, send } from '../actions.js';
import { change, state } from '../state.js';
import { closeTo, overhead } from './camera.js';
import { passesOf, periodOf, rateOf } from './clock.js';
import { startLight } from './lit.js';
import { outline } from './outline.js';

const FRAME = 640; // pixels along a frame of the server's: what it draws while one waits
const LARGEST = 1600;
const AT_REST = 160; // ms after the last change

export class Picture extends EventTarget {
  constructor() {
    super();
    this.seconds = 0;
    this.layers = {};
    this.light = null;
    this.order = 0; // of pictures: a later one is never covered by an earlier
    this.shown = 0;
    this.last = 0;
    this.sent = ''; // the view that the server draws at rest
    this.moving = false;
  }

  /** Take three canvases as layers, bottom first: {light, frames, exact}. */
  mount(holder, layers) {
    this.holder = holder;
    this.layers = layers;
    this.sizes = new ResizeObserver(() => this.ask());
    this.sizes.observe(holder);
    startLight(this, layers.light);
    requestAnimationFrame((now) => this.tick(now));
  }

  get room() {
    return outline(state.scene.room);
  }

  get eye() {
    return state.eye ?? this.ownEye;
  }

  get ownEye() {
    const { at_m, look_m, fov_deg } = state.scene.eye;
    return { at_m, look_m, fov_deg };
  }

  /** What is looked at, as a `view` or `pose` message has it, at most so many pixels long. */
  sight(most = LARGEST) {
    const { clientWidth: w, clientHeight: h } = this.holder;
    const dense = Math.min(devicePixelRatio || 1, 2);
    const isDome = state.view === 'dome';
    let [width, height] = isDome ? [Math.min(w, h), Math.min(w, h)] : [w, h];
    const scale = Math.min(dense, most / Math.max(width, height, 1));
    [width, height] = [width, height].map((v) => Math.max(Math.round(v * scale), 64));
    if (isDome) return { view: 'dome', width, height };
    return { view: 'eye', width, height, ...this.lookingFrom(width / height) };
  }

  lookingFrom(aspect) {
    const ball = state.scene.balls[Math.min(state.ball, state.scene.balls.length - 1)];
    if (state.view === 'floor') return overhead(this.room, state.scene.balls.map((one) => one.hook), aspect);
    if (state.view === 'ball') return closeTo(ball, this.ownEye, this.room, aspect);
    return this.eye;
  }

  /** Something is no longer as shown: ask anew, and once it rests, for the exact picture. */
  ask() {
    if (!state.scene || !this.holder?.clientWidth) return;
    this.fade(false);
    this.request();
    clearTimeout(this.resting);
    if (!state.playing) this.resting = setTimeout(() => this.rest(), AT_REST);
  }

  request() {
    const connection = current();
    if (connection?.socket.readyState !== WebSocket.OPEN) return;
    const request = { seconds: this.seconds };
    if (state.playing || this.moving) request.playing = true;
    if (!this.light) {
      const { view, ...sight } = this.sight(FRAME);
      Object.assign(request, sight, { frames: view });
    }
    connection.pose(request);
    this.drawLight();
  }

  rest() {
    if (this.moving || state.playing) return;
    const sight = JSON.stringify(this.sight());
    if (sight !== this.sent) {
      this.sent = sight;
      send({ type: 'view', ...JSON.parse(sight) });
    }
    this.request(); // as one that does not play: then the exact picture is begun
  }

  play(playing) {
    change({ playing });
    this.last = 0;
    this.ask();
  }

  /** Show another moment. */
  seek(seconds) {
    this.seconds = Math.min(Math.max(seconds, 0), 1e6);
    this.ask();
    this.dispatchEvent(new Event('tick'));
  }

  /** While the eye is dragged, nothing exact is begun. */
  move(eye) {
    this.moving = true;
    change({ eye, view: 'eye' });
    this.ask();
    clearTimeout(this.still);
    this.still = setTimeout(() => {
      this.moving = false;
      this.ask();
    }, 350);
  }

  tick(now) {
    requestAnimationFrame((later) => this.tick(later));
    if (!state.playing || !state.scene) return;
    const passed = this.last ? Math.min((now - this.last) / 1000, 0.25) : 0;
    this.last = now;
    this.seconds += passed * rateOf({ ...state, passes: passesOf(state.figures) }).rate;
    if (this.seconds > 9e5) this.seconds %= periodOf(state.scene.filled.ball);
    if (!current()?.asked) this.request();
    this.dispatchEvent(new Event('tick'));
  }

  /** A POSE has come. */
  pose(message) {
    if (!this.light || message.facts.revision !== state.scene.revision) return;
    this.light.setPose(message.facts, message.arrays);
    this.drawLight();
  }

  drawLight() {
    if (!this.light?.ready) return;
    if (this.light.draw(this.sight())) this.showing('light');
  }

  /** A PICTURE has come: a frame, or the exact one. */
  async picture({ facts, arrays }) {
    if (facts.exact && !this.fits(facts)) return;
    if (facts.revision !== state.scene.revision) return;
    const order = (this.order += 1);
    const bitmap = await createImageBitmap(new Blob([arrays.image.data], { type: facts.media }));
    if (order < this.shown || (facts.exact && !this.fits(facts))) return;
    if (!facts.exact && this.light) return;
    this.shown = order;
    const canvas = facts.exact ? this.layers.exact : this.layers.frames;
    canvas.width = bitmap.width;
    canvas.height = bitmap.height;
    canvas.getContext('2d').drawImage(bitmap, 0, 0);
    bitmap.close();
    if (facts.exact) this.fade(true);
    else this.showing('frames');
    document.body.dataset.state = 'ready';
  }

  /** Whether an exact picture is of what is to be seen now. */
  fits(facts) {
    if (state.playing || this.moving || Math.abs(facts.seconds - this.seconds) > 1e-9) return false;
    const sight = this.sight();
    if (JSON.stringify(sight) !== this.sent || facts.view !== sight.view) return false;
    if (facts.width !== sight.width || facts.height !== sight.height) return false;
    const near = (a, b) => a.every((v, i) => Math.abs(v - b[i]) < 1e-6);
    return !sight.at_m || !facts.eye || near(sight.at_m, facts.eye.at_m);
  }

  showing(source) {
    document.body.dataset.state = 'ready';
    this.layers.frames.hidden = source !== 'frames';
    this.layers.light.hidden = source !== 'light';
    if (state.picture.source === source && !state.picture.wanted) return;
    change({ picture: { ...state.picture, source, wanted: false } });
  }

  fade(exact) {
    this.layers.exact.classList.toggle('shown', exact);
    if (state.picture.exact !== exact) change({ picture: { ...state.picture, exact } });
  }

  /** The light cannot be drawn here, or not any more: the server's frames take over. */
  withoutLight(why) {
    this.light = null;
    change({ picture: { ...state.picture, source: null, why, wanted: true } });
    this.ask();
  }

  /** What is seen now, as a small JPEG in a data: address. */
  thumbnail(width = 320, height = 220) {
    const canvas = document.createElement('canvas');
    [canvas.width, canvas.height] = [width, height];
    const pen = canvas.getContext('2d');
    const { exact, frames, light } = this.layers;
    const from = state.picture.exact ? exact : state.picture.source === 'light' ? light : frames;
    if (from === light) this.drawLight(); // its pixels are there until the browser shows them
    const scale = Math.max(width / from.width, height / from.height);
    const [w, h] = [from.width * scale, from.height * scale];
    pen.drawImage(from, (width - w) / 2, (height - h) / 2, w, h);
    return canvas.toDataURL('image/jpeg', 0.8);
  }
}
