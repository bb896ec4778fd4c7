// The routed machine in space: each line a round tube, each port a point, keep-outs as edges.
import { Renderer, Camera, Transform, Program, Mesh, Geometry, Orbit, Vec3 } from "./ogl.min.js";

const SIDES = 8;
const COLOURS = [
  ["fuel", [0.75, 0.2, 0.17]], ["oil", [0.72, 0.55, 0.05]], ["hydraulic", [0.3, 0.42, 0.62]],
  ["coolant", [0.16, 0.42, 0.75]], ["water", [0.1, 0.5, 0.55]],
];
const OTHER = [0.45, 0.45, 0.45];

const vertex = `attribute vec3 position; attribute vec3 normal; uniform mat4 modelViewMatrix, projectionMatrix;
varying vec3 facing; void main() { facing = normal; gl_Position = projectionMatrix * modelViewMatrix * vec4(position, 1.0); }`;
const fragment = `precision mediump float; uniform vec3 colour; varying vec3 facing;
void main() { float light = 0.55 + 0.45 * abs(dot(normalize(facing), normalize(vec3(0.4, 0.8, 0.5)))); gl_FragColor = vec4(colour * light, 1.0); }`;

let stage = null;

export function available() {
  const probe = document.createElement("canvas");
  return Boolean(probe.getContext("webgl2") || probe.getContext("webgl"));
}

const minus = (a, b) => a.map((c, i) => c - b[i]);
const cross = (a, b) => [a[1] * b[2] - a[2] * b[1], a[2] * b[0] - a[0] * b[2], a[0] * b[1] - a[1] * b[0]];
const unit = (a) => { const l = Math.hypot(...a) || 1; return a.map((c) => c / l); };

// The plan's axes turned so that up is up on the screen.
function turned(up) {
  const index = up.findIndex((c) => Math.abs(c) > 0.5);
  const sign = up[index] < 0 ? -1 : 1;
  return (p) => [p[(index + 1) % 3] * sign, p[index] * sign, p[(index + 2) % 3]];
}

// A tube round a chain of points, its rings carried along without twist.
function tube(points, radius) {
  const [position, normal, index] = [[], [], []];
  let side = null;
  points.forEach((point, i) => {
    const along = unit(minus(points[Math.min(i + 1, points.length - 1)], points[Math.max(i - 1, 0)]));
    if (!side) side = unit(cross(along, Math.abs(along[1]) < 0.9 ? [0, 1, 0] : [1, 0, 0]));
    const dot = side.reduce((sum, c, k) => sum + c * along[k], 0);
    side = unit(side.map((c, k) => c - dot * along[k]));
    const other = cross(along, side);
    for (let s = 0; s < SIDES; s += 1) {
      const turn = (2 * Math.PI * s) / SIDES;
      const out = side.map((c, k) => c * Math.cos(turn) + other[k] * Math.sin(turn));
      normal.push(...out);
      position.push(...point.map((c, k) => c + radius * out[k]));
      if (i > 0) {
        const [a, b] = [i * SIDES + s, i * SIDES + ((s + 1) % SIDES)];
        index.push(a - SIDES, a, b, a - SIDES, b, b - SIDES);
      }
    }
  });
  return { position: { size: 3, data: new Float32Array(position) }, normal: { size: 3, data: new Float32Array(normal) },
    index: { data: points.length * SIDES > 65000 ? new Uint32Array(index) : new Uint16Array(index) } };
}

// A keep-out as the tubes of its edges.
function edges(body) {
  if (body.low) {
    const corner = (i) => [0, 1, 2].map((k) => ((i >> k) & 1 ? body.high[k] : body.low[k]));
    const all = [];
    for (let i = 0; i < 8; i += 1) for (const bit of [1, 2, 4]) if (!(i & bit)) all.push([corner(i), corner(i | bit)]);
    return all;
  }
  return body.from ? [[body.from, body.to]] : [];
}

function colourOf(use) {
  const found = COLOURS.find(([word]) => use.includes(word));
  return found ? found[1] : OTHER;
}

function build(canvas) {
  const renderer = new Renderer({ canvas, dpr: Math.min(window.devicePixelRatio || 1, 2), antialias: true, alpha: true });
  const camera = new Camera(renderer.gl, { fov: 35, near: 0.01, far: 100 });
  camera.position.set(0.9, 0.6, 1.3);
  const orbit = new Orbit(camera, { element: canvas, target: new Vec3(0, 0, 0) });
  const turnBy = (angle, rise, nearer) => {
    const { x, y, z } = camera.position;
    const flat = Math.hypot(x, z);
    const around = Math.atan2(z, x) + angle;
    const up = Math.max(-1.4, Math.min(1.4, Math.atan2(y, flat) + rise));
    const far = Math.hypot(x, y, z) * nearer;
    camera.position.set(far * Math.cos(up) * Math.cos(around), far * Math.sin(up), far * Math.cos(up) * Math.sin(around));
    orbit.forcePosition();
  };
  canvas.addEventListener("keydown", (event) => {
    const keys = { ArrowLeft: [0.15, 0, 1], ArrowRight: [-0.15, 0, 1], ArrowUp: [0, 0.12, 1], ArrowDown: [0, -0.12, 1],
      "+": [0, 0, 0.85], "-": [0, 0, 1.18] };
    if (!keys[event.key]) return;
    event.preventDefault();
    turnBy(...keys[event.key]);
  });
  const built = { renderer, camera, orbit, scene: null };
  const draw = () => {
    const [width, height] = [canvas.clientWidth || 600, canvas.clientHeight || 400];
    if (renderer.width !== width || renderer.height !== height) {
      renderer.setSize(width, height);
      canvas.style.width = ""; canvas.style.height = "";
      camera.perspective({ aspect: width / height });
    }
    orbit.update();
    if (built.scene) renderer.render({ scene: built.scene, camera });
    requestAnimationFrame(draw);
  };
  requestAnimationFrame(draw);
  return built;
}

export function show(canvas, scene, legend) {
  if (!stage) stage = build(canvas);
  const { gl } = stage.renderer;
  const turn = turned(scene.up);
  const places = scene.lines.flatMap((l) => l.points).concat(scene.components.flatMap((c) => c.ports.map((p) => p.at)));
  if (places.length === 0) return;
  const low = [0, 1, 2].map((k) => Math.min(...places.map((p) => p[k])));
  const high = [0, 1, 2].map((k) => Math.max(...places.map((p) => p[k])));
  const size = Math.max(...minus(high, low), 1);
  const placed = (p) => turn(p.map((c, k) => (c - 0.5 * (low[k] + high[k])) / size));
  const root = new Transform();
  const add = (points, radius, colour) => {
    const program = new Program(gl, { vertex, fragment, uniforms: { colour: { value: colour } }, cullFace: false });
    const mesh = new Mesh(gl, { geometry: new Geometry(gl, tube(points.map(placed), Math.max(radius / size, 0.0012))), program });
    mesh.setParent(root);
  };
  scene.lines.forEach((line) => add(line.points, line.radius, colourOf(line.use)));
  scene.components.forEach((c) => c.ports.forEach((p) => {
    add([p.at, p.at.map((v, k) => v + (k === 2 ? 0.012 * size : 0))], 0.006 * size, [0.25, 0.25, 0.25]);
  }));
  scene.keep_outs.forEach((k) => edges(k.body).forEach((edge) => {
    add(edge, k.body.radius || 0.001 * size, k.body.radius ? [0.8, 0.45, 0.2] : [0.5, 0.5, 0.5]);
  }));
  stage.scene = root;
  const uses = [...new Set(scene.lines.map((l) => l.use))];
  legend.replaceChildren(...uses.map((use) => {
    const item = document.createElement("li");
    const mark = document.createElement("span");
    mark.className = "colour";
    mark.style.background = `rgb(${colourOf(use).map((c) => Math.round(c * 255)).join(",")})`;
    item.append(mark, `${use}: ${scene.lines.filter((l) => l.use === use).map((l) => l.id).join(", ")}`);
    return item;
  }));
}
