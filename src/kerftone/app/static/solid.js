// @ts-check
// The drum in three dimensions, moving: drawn by three.js, which is loaded only where this is shown.

import { colours, extent } from "./motions.js";
import * as THREE from "./vendor/three.js";

/** How far the largest motion goes at full, as a share of the drum's length: far enough to be seen. */
const REACH = 0.07;
/** Half of what the picture shows across and upright, as shares of the drum's length. */
const ACROSS = 0.6;
const UPRIGHT = 0.4;
const TURN = Math.PI / 24;
const SECONDS = 1.8;
/** From where it is looked at: each a direction, x along, y to the back, z up. @type {Record<string, number[]>} */
export const SIDES = { corner: [0.45, -1, 0.75], above: [0, -0.001, 1], front: [0, -1, 0.02], below: [0.3, -0.8, -0.8] };

/** Seconds that one swing takes on the screen. */
export const SWING_S = SECONDS;

/** The drum on a canvas. */
export class Solid {
  /** @param {HTMLCanvasElement} canvas @param {import("./motions.js").Motions} motions */
  constructor(canvas, motions) {
    this.renderer = new THREE.WebGLRenderer({ canvas, antialias: true, alpha: true });
    this.renderer.setPixelRatio(Math.min(devicePixelRatio, 2));
    const { middle, long } = extent(motions.points);
    this.middle = new THREE.Vector3(...middle);
    this.long = long;
    this.scene = new THREE.Scene();
    this.camera = new THREE.PerspectiveCamera(32, 1, long / 50, long * 20);
    this.camera.up.set(0, 0, 1);
    this.mesh = new THREE.Mesh(geometry(motions, REACH * long), materials(motions));
    this.scene.add(this.mesh, new THREE.HemisphereLight(0xffffff, 0x8a7a68, 1.9));
    const sun = new THREE.DirectionalLight(0xffffff, 1.8);
    sun.position.set(-0.4, -1, 1.6);
    this.scene.add(sun);
    this.controls = new THREE.OrbitControls(this.camera, canvas);
    this.controls.enablePan = false;
    this.controls.target.copy(this.middle);
    this.controls.minDistance = long * 0.5;
    this.controls.maxDistance = long * 6;
    this.note = 0;
    this.size = 1;
    this.moving = false;
    this.began = performance.now();
    this.from("corner");
    this.controls.addEventListener("change", () => this.moving || this.draw());
    this.watch = new ResizeObserver(() => this.fit());
    this.watch.observe(canvas);
    this.frames = 0;
  }

  /** Look at it from one of the sides. @param {string} side */
  from(side) {
    const [x, y, z] = SIDES[side];
    const far = new THREE.Vector3(x, y, z).normalize().multiplyScalar(this.distance());
    this.camera.position.copy(this.middle).add(far);
    this.controls.update();
    this.draw();
  }

  /** How far off the whole drum is in the picture. */
  distance() {
    const half = Math.tan((this.camera.fov * Math.PI) / 360);
    return Math.max(ACROSS / this.camera.aspect, UPRIGHT) * (this.long / half);
  }

  /** Turn it by steps, as the arrow keys do. @param {number} round @param {number} up */
  turn(round, up) {
    const off = this.camera.position.clone().sub(this.middle);
    const far = off.length();
    const around = Math.atan2(off.y, off.x) + round * TURN;
    const high = Math.min(1.5, Math.max(-1.5, Math.asin(off.z / far) + up * TURN));
    this.camera.position.set(far * Math.cos(high) * Math.cos(around), far * Math.cos(high) * Math.sin(around), far * Math.sin(high)).add(this.middle);
    this.controls.update();
    this.draw();
  }

  /** @param {number} note @param {number} size From 0 to 1. @param {boolean} moving */
  show(note, size, moving) {
    this.note = note;
    this.size = size;
    if (moving !== this.moving) {
      this.moving = moving;
      this.renderer.setAnimationLoop(moving ? () => this.draw() : null);
    }
    this.draw();
  }

  fit() {
    const { clientWidth: wide, clientHeight: high } = this.renderer.domElement;
    if (!wide || !high) return;
    const before = this.distance();
    this.camera.aspect = wide / high;
    this.camera.updateProjectionMatrix();
    this.renderer.setSize(wide, high, false);
    const off = this.camera.position.clone().sub(this.middle).multiplyScalar(this.distance() / before);
    this.camera.position.copy(this.middle).add(off);
    this.controls.update();
    this.draw();
  }

  draw() {
    const phase = this.moving ? Math.sin((2 * Math.PI * (performance.now() - this.began)) / 1000 / SECONDS) : 1;
    this.mesh.morphTargetInfluences.fill(0);
    this.mesh.morphTargetInfluences[this.note] = this.size * phase;
    this.renderer.render(this.scene, this.camera);
    this.frames += 1;
  }

  /** Let go of everything. */
  close() {
    this.renderer.setAnimationLoop(null);
    this.watch.disconnect();
    this.controls.dispose();
    this.mesh.geometry.dispose();
    for (const one of this.mesh.material) one.dispose();
    this.renderer.dispose();
  }
}

/** @param {import("./motions.js").Motions} motions @param {number} reach */
function geometry(motions, reach) {
  const made = new THREE.BufferGeometry();
  made.setAttribute("position", new THREE.BufferAttribute(motions.points, 3));
  made.setIndex(new THREE.BufferAttribute(motions.triangles, 1));
  made.morphTargetsRelative = true;
  made.morphAttributes.position = motions.moved.map((one) => new THREE.BufferAttribute(one.map((share) => share * reach), 3));
  motions.parts.forEach((part, at) => made.addGroup(3 * part.first, 3 * part.count, at));
  return made;
}

/** @param {import("./motions.js").Motions} motions */
function materials(motions) {
  const of = colours();
  return motions.parts.map((part) => new THREE.MeshLambertMaterial({ color: new THREE.Color(of[part.part]), flatShading: true }));
}
