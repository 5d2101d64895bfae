// A work in space: its members as prisms with mitred ends, drawn apart in the order of building.
import {
  AmbientLight,
  BufferGeometry,
  Color,
  DirectionalLight,
  DoubleSide,
  EdgesGeometry,
  Float32BufferAttribute,
  Group,
  LineBasicMaterial,
  LineSegments,
  Mesh,
  MeshLambertMaterial,
  PerspectiveCamera,
  Scene,
  WebGLRenderer,
} from "three";

interface Member {
  kind: string;
  axis: "x" | "y";
  start: number;
  stop: number;
  low: number;
  high: number;
  back: number;
  front: number;
  step: number;
}

interface Space {
  width: number;
  height: number;
  depth: number;
  bevel: number;
  mitred: boolean;
  members: Member[];
}

// Eight corners: outer or low edge first, at the back then in front, at the start then at the stop.
function prism(member: Member, space: Space): BufferGeometry {
  const bar = member.kind === "bar";
  const across = member.axis === "x" ? space.height : space.width;
  const lowIsOuter = member.low + member.high < across;
  const thick = member.high - member.low;
  const corners: number[] = [];
  for (const end of [0, 1])
    for (const side of [0, 1])
      for (const face of [0, 1]) {
        const inner = bar && side === (lowIsOuter ? 1 : 0);
        const draw = bar && space.mitred && inner ? thick : 0;
        const along = end === 0 ? member.start + draw : member.stop - draw;
        const over = side === 0 ? member.low : member.high;
        let z = face === 0 ? member.back : member.front;
        if (inner && face === 1) z -= space.bevel;
        const [x, y] = member.axis === "x" ? [along, over] : [over, along];
        corners.push(x - space.width / 2, y - space.height / 2, z + space.depth / 2);
      }
  const quads = [[0, 1, 3, 2], [4, 6, 7, 5], [0, 4, 5, 1], [2, 3, 7, 6], [0, 2, 6, 4], [1, 5, 7, 3]];
  const index = quads.flatMap(([a, b, c, d]) => [a!, b!, c!, a!, c!, d!]);
  const made = new BufferGeometry();
  made.setAttribute("position", new Float32BufferAttribute(corners, 3));
  made.setIndex(index);
  const flat = made.toNonIndexed();
  flat.computeVertexNormals();
  return flat;
}

const TONES: Record<string, string> = { bar: "#c99f68", "cross rail": "#a9793f", "end rail": "#b98d55", "middle piece": "#8d6535" };

async function begin(root: HTMLElement): Promise<void> {
  const canvas = root.querySelector("canvas");
  const apart = root.querySelector<HTMLInputElement>("#apart");
  const upTo = root.querySelector<HTMLInputElement>("#built-to");
  const shownStep = root.querySelector("output");
  if (!canvas || !apart || !upTo) return;
  const space = (await (await fetch(root.dataset.space ?? "")).json()) as Space;
  const renderer = new WebGLRenderer({ canvas, antialias: true, preserveDrawingBuffer: true });
  const scene = new Scene();
  scene.background = new Color("#fbf8f1");
  scene.add(new AmbientLight("#ffffff", 1.7));
  const lamp = new DirectionalLight("#ffffff", 2.1);
  lamp.position.set(-0.6, 1, 1.6);
  scene.add(lamp);
  const size = Math.hypot(space.width, space.height);
  const camera = new PerspectiveCamera(32, 16 / 11, size / 50, size * 20);
  const group = new Group();
  scene.add(group);
  const pieces = space.members.map((member) => {
    const shape = prism(member, space);
    const mesh = new Mesh(shape, new MeshLambertMaterial({ color: TONES[member.kind] ?? "#9c9182", side: DoubleSide }));
    mesh.add(new LineSegments(new EdgesGeometry(shape, 15), new LineBasicMaterial({ color: "#2d2418" })));
    group.add(mesh);
    return { member, mesh };
  });
  let turn = -0.5;
  let tilt = -0.62;

  function draw(): void {
    const far = (Number(apart!.value) / 100) * size * 0.3;
    for (const { member, mesh } of pieces) {
      const over = (member.low + member.high) / 2;
      const along = (member.start + member.stop) / 2;
      const [x, y] = member.axis === "x" ? [along, over] : [over, along];
      const away = member.kind === "bar" ? 0.5 : 0.16;
      mesh.position.set(
        ((x - space.width / 2) / space.width) * far * 2 * away,
        ((y - space.height / 2) / space.height) * far * 2 * away,
        member.kind === "bar" ? 0 : -far * 0.6,
      );
      mesh.visible = member.step <= Number(upTo!.value);
    }
    if (shownStep) shownStep.textContent = upTo!.value;
    group.rotation.set(tilt, turn, 0, "XYZ");
    const wide = canvas!.clientWidth || 640;
    renderer.setPixelRatio(Math.min(devicePixelRatio, 2));
    renderer.setSize(wide, Math.round((wide * 11) / 16), false);
    camera.position.set(0, 0, size * 2.05 + far);
    camera.lookAt(0, 0, 0);
    renderer.render(scene, camera);
    canvas!.dataset.drawn = String(pieces.filter((piece) => piece.mesh.visible).length);
  }

  let from: [number, number] | null = null;
  canvas.addEventListener("pointerdown", (event) => {
    from = [event.clientX, event.clientY];
    canvas.setPointerCapture(event.pointerId);
  });
  canvas.addEventListener("pointermove", (event) => {
    if (!from) return;
    turn += (event.clientX - from[0]) * 0.008;
    tilt += (event.clientY - from[1]) * 0.008;
    from = [event.clientX, event.clientY];
    draw();
  });
  canvas.addEventListener("pointerup", () => (from = null));
  canvas.addEventListener("keydown", (event) => {
    const by: Record<string, [number, number]> = { ArrowLeft: [-0.12, 0], ArrowRight: [0.12, 0], ArrowUp: [0, -0.12], ArrowDown: [0, 0.12] };
    const moved = by[event.key];
    if (!moved) return;
    event.preventDefault();
    turn += moved[0];
    tilt += moved[1];
    draw();
  });
  apart.addEventListener("input", draw);
  upTo.addEventListener("input", draw);
  addEventListener("resize", draw);
  draw();
}

for (const root of document.querySelectorAll<HTMLElement>("[data-space]"))
  begin(root).catch(() => root.querySelector("canvas")?.replaceWith(root.querySelector("p") ?? ""));
