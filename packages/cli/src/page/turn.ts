/// <reference lib="dom" />
import {
  AmbientLight,
  BufferAttribute,
  BufferGeometry,
  DirectionalLight,
  EdgesGeometry,
  Group,
  LineBasicMaterial,
  LineSegments,
  Mesh,
  MeshLambertMaterial,
  OrthographicCamera,
  Scene,
  Vector3,
  WebGLRenderer,
} from 'three';

/** What the page's script gets from the viewer. */
export interface Viewer {
  /** 0 together, 1 pieces fully apart. */
  apart: (share: number) => void;
  end: () => void;
}
export type ViewerMaker = (canvas: HTMLCanvasElement, head: Head, data: ArrayBuffer) => Viewer;

/** As `packBodies` of the command makes it. */
interface Head {
  readonly min: readonly number[];
  readonly step: number;
  readonly bodies: readonly { vertices: number; triangles: number; away: readonly number[] }[];
}

function bodiesOf(head: Head, data: ArrayBuffer): BufferGeometry[] {
  const view = new DataView(data);
  let at = 0;
  return head.bodies.map(({ vertices: n, triangles: m }) => {
    const positions = new Float32Array(3 * n);
    for (let k = 0; k < 3; k++)
      for (let i = 0; i < n; i++, at += 2)
        positions[3 * i + k] = (head.min[k] ?? 0) + head.step * view.getUint16(at, true);
    const corners = new Uint32Array(3 * m);
    let last = 0;
    for (let i = 0; i < corners.length; i++, at += 4) {
      const z = view.getUint32(at, true);
      last += z & 1 ? -((z + 1) >>> 1) : z >>> 1;
      corners[i] = last;
    }
    const geometry = new BufferGeometry();
    geometry.setAttribute('position', new BufferAttribute(positions, 3));
    geometry.setIndex(new BufferAttribute(corners, 1));
    return geometry;
  });
}

/** A part in the page's own ink and paper, seen without perspective as in the drawings. */
const make: ViewerMaker = (canvas, head, data) => {
  const style = getComputedStyle(canvas);
  const ink = style.getPropertyValue('--ink').trim() || '#222';
  const paper = style.getPropertyValue('--paper').trim() || '#fff';
  const skinTone = style.getPropertyValue('--skin').trim() || '#d9dcd6';
  const renderer = new WebGLRenderer({ canvas, antialias: true });
  renderer.setClearColor(paper);
  const scene = new Scene();
  const group = new Group();
  const bodies = bodiesOf(head, data).map((geometry, i) => {
    const flat = geometry.toNonIndexed();
    flat.computeVertexNormals();
    const skin = new MeshLambertMaterial({ color: skinTone, side: 2, polygonOffset: true, polygonOffsetFactor: 1, polygonOffsetUnits: 1 }); // prettier-ignore
    const lines = new LineSegments(new EdgesGeometry(geometry, 35), new LineBasicMaterial({ color: ink })); // prettier-ignore
    const body = new Group();
    body.add(new Mesh(flat, skin), lines);
    group.add(body);
    return { body, away: new Vector3(...((head.bodies[i]?.away ?? [0, 0, 0]) as [number, number, number])) }; // prettier-ignore
  });
  scene.add(group, new AmbientLight('#ffffff', 1.5));
  const light = new DirectionalLight('#ffffff', 2);
  scene.add(light);

  const middle = new Vector3();
  const box = bodies.reduce((r, b) => Math.max(r, b.away.length()), 0);
  for (const { body } of bodies) {
    const g = (body.children[0] as Mesh).geometry;
    g.computeBoundingBox();
  }
  const low = new Vector3(Infinity, Infinity, Infinity);
  const high = new Vector3(-Infinity, -Infinity, -Infinity);
  for (const { body } of bodies) {
    const b = (body.children[0] as Mesh).geometry.boundingBox;
    if (b) {
      low.min(b.min);
      high.max(b.max);
    }
  }
  middle.addVectors(low, high).multiplyScalar(0.5);
  group.position.copy(middle).negate();

  const radius = high.distanceTo(low) / 2 + box || 1;
  const camera = new OrthographicCamera(-1, 1, 1, -1, 0.01, radius * 20);
  camera.up.set(0, 0, 1);
  // The isometric view, as in the drawings.
  let turn = -Math.PI / 4;
  let tilt = Math.atan(Math.SQRT1_2);
  let near = 1;
  let asked = 0;
  const draw = (): void => {
    asked = 0;
    const w = canvas.clientWidth || 300;
    const h = canvas.clientHeight || 300;
    renderer.setPixelRatio(Math.min(2, devicePixelRatio));
    renderer.setSize(w, h, false);
    const r = (radius * 1.05) / near;
    const half = w > h ? [(r * w) / h, r] : [r, (r * h) / w];
    [camera.left, camera.right, camera.top, camera.bottom] = [-(half[0] ?? r), half[0] ?? r, half[1] ?? r, -(half[1] ?? r)]; // prettier-ignore
    camera.position.set(Math.cos(turn) * Math.cos(tilt), Math.sin(turn) * Math.cos(tilt), Math.sin(tilt)).multiplyScalar(radius * 8); // prettier-ignore
    camera.lookAt(0, 0, 0);
    camera.updateProjectionMatrix();
    light.position.set(-0.45, 0.7, 0.55).applyQuaternion(camera.quaternion);
    renderer.render(scene, camera);
    canvas.dataset['turned'] = `${turn.toFixed(3)} ${tilt.toFixed(3)}`;
  };
  const ask = (): void => {
    asked ||= requestAnimationFrame(draw);
  };
  const by = (dTurn: number, dTilt: number): void => {
    turn += dTurn;
    tilt = Math.max(-1.55, Math.min(1.55, tilt + dTilt));
    ask();
  };
  const ends = new AbortController();
  const on = { signal: ends.signal };
  let held: { x: number; y: number } | null = null;
  canvas.addEventListener('pointerdown', (e) => {
    held = { x: e.clientX, y: e.clientY };
    canvas.setPointerCapture(e.pointerId);
  }, on); // prettier-ignore
  canvas.addEventListener('pointermove', (e) => {
    if (!held) return;
    by(-(e.clientX - held.x) / 120, (e.clientY - held.y) / 120);
    held = { x: e.clientX, y: e.clientY };
  }, on); // prettier-ignore
  canvas.addEventListener('pointerup', () => (held = null), on);
  canvas.addEventListener('wheel', (e) => {
    if (!e.ctrlKey && document.activeElement !== canvas) return;
    e.preventDefault();
    near = Math.max(0.5, Math.min(8, near * Math.exp(-e.deltaY / 600)));
    ask();
  }, { ...on, passive: false }); // prettier-ignore
  canvas.addEventListener('keydown', (e) => {
    const step = 0.12;
    if (e.key === 'ArrowLeft') by(-step, 0);
    else if (e.key === 'ArrowRight') by(step, 0);
    else if (e.key === 'ArrowUp') by(0, step);
    else if (e.key === 'ArrowDown') by(0, -step);
    else if (e.key === '+' || e.key === '-') {
      near = Math.max(0.5, Math.min(8, near * (e.key === '+' ? 1.15 : 1 / 1.15)));
      ask();
    } else return;
    e.preventDefault();
  }, on); // prettier-ignore
  const watch = new ResizeObserver(ask);
  watch.observe(canvas);
  ask();
  return {
    apart: (share) => {
      for (const { body, away } of bodies) body.position.copy(away).multiplyScalar(share);
      ask();
    },
    end: () => {
      ends.abort();
      watch.disconnect();
      cancelAnimationFrame(asked);
      for (const { body } of bodies)
        for (const child of body.children) (child as Mesh).geometry.dispose();
      renderer.dispose();
      renderer.forceContextLoss();
    },
  };
};

(globalThis as { scantlingTurn?: ViewerMaker }).scantlingTurn = make;
