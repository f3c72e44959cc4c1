// Painting: one quiet metal under the light of the stills, or paper with the hatches of what differs,
// and a small picture of depths that tells which details are hidden.

import { Geometry, Mesh, Program, RenderTarget, Renderer, Transform, Camera } from "ogl";
import type { Part } from "./glb";
import { HATCH, PITCH } from "./hatch";
import { Sheets, type Drawn } from "./sheets";
import type { Vec } from "./page";
import { around, box, lifts } from "./apart";
import { breath } from "./breath";
import { toward, type Lamp } from "./lamp";
import { axes, dot, minus, project, type View } from "./view";

const VERTEX = `#version 300 es
in vec3 position; in vec3 normal; in vec3 colour; in vec4 tangent; in vec2 place;
uniform mat4 modelViewMatrix, projectionMatrix;
out vec3 vNormal; out vec3 vColour; out vec3 vAt; out vec4 vTangent; out vec2 vPlace;
void main() {
  vNormal = normal; vColour = colour; vAt = position; vTangent = tangent; vPlace = place;
  gl_Position = projectionMatrix * modelViewMatrix * vec4(position, 1.0);
}`;

// The studio of the stills: key from the upper left, sky, paper floor, a strip at the back. Slopes,
// shade and colour of the scan come from the sheet where there is one.
const FRAGMENT = `#version 300 es
precision highp float;
in vec3 vNormal; in vec3 vColour; in vec3 vAt; in vec4 vTangent; in vec2 vPlace;
uniform vec3 right, up, eye, lamp; uniform float floorY, tall; uniform bool raked;
uniform sampler2D slopes, shade, paint; uniform bool drawn, painted;
out vec4 outColour;
${HATCH}vec3 upright() {
  vec3 n = normalize(gl_FrontFacing ? vNormal : -vNormal);
  if (!drawn) return n;
  vec3 s = texture(slopes, vPlace).xyz * 2.0 - 1.0;
  vec3 t = normalize(vTangent.xyz - n * dot(n, vTangent.xyz));
  return normalize(t * s.x + cross(n, t) * vTangent.w * s.y + n * s.z);
}
vec3 sky(vec3 d, vec3 strip) {
  float h = d.y;
  vec3 base = h >= 0.0 ? mix(vec3(0.66), vec3(1.02, 1.05, 1.10), h) : mix(vec3(0.66), vec3(0.50, 0.47, 0.43), min(-h * 2.0, 1.0));
  return base + 1.8 * smoothstep(0.80, 0.97, dot(d, strip));
}
vec3 tone(vec3 c) {
  float x = min(c.r, min(c.g, c.b));
  c -= x < 0.08 ? x - 6.25 * x * x : 0.04;
  float peak = max(c.r, max(c.g, c.b));
  if (peak < 0.76) return max(c, 0.0);
  float rest = 0.24, top = 1.0 - rest * rest / (peak + rest - 0.76);
  return mix(c * (top / peak), vec3(top), 1.0 - 1.0 / (0.15 * (peak - top) + 1.0));
}
// As the stills in raking light: grey-warm, since colour hides shape, and as bright on ground that faces
// the eye when the lamp grazes it.
vec3 grazed(vec3 n, float open) {
  float high = dot(lamp, eye);
  float exposure = mix(0.30, 0.62, high) * max(dot(n, lamp), 0.0) / max(high, 0.14) + 0.07 * open;
  return vec3(1.0, 0.952, 0.875) * (1.0 - exp(-exposure));
}
void main() {
  vec3 n = upright();
  // A slope that would face away, at an outline, is seen edge on.
  n = normalize(n - eye * min(0.0, dot(n, eye)));
  vec3 base = painted ? texture(paint, vPlace).rgb : vColour;
  vec3 key = normalize(-0.62 * right + 0.72 * up + 0.55 * eye);
  vec3 strip = normalize(0.85 * right + 0.2 * up - 0.35 * eye);
  if (inked) base = vec3(0.43);
  vec3 diffuse = base * (inked ? 1.0 : 0.5), mirror = inked ? vec3(0.04) : mix(vec3(0.04), base, 0.5);
  vec3 r = reflect(-eye, n);
  float open = drawn ? texture(shade, vPlace).r : 0.62 + 0.38 * clamp(0.5 + 0.5 * n.y, 0.0, 1.0) * clamp((vAt.y - floorY) / tall + 0.55, 0.0, 1.0);
  vec3 light = vec3(1.0, 0.975, 0.93) * 3.3 * max(dot(n, key), 0.0) * 0.86 + sky(n, strip) * open;
  vec3 glint = (sky(mix(r, n, 0.35), strip) * 0.8 + vec3(1.0, 0.98, 0.94) * 2.1 * smoothstep(0.45, 1.0, dot(r, key))) * open;
  float slant = pow(1.0 - clamp(dot(n, eye), 0.0, 1.0), 5.0);
  vec3 c = tone(diffuse * light + (mirror + (max(mirror, vec3(0.22)) - mirror) * slant) * glint);
  if (raked) c = grazed(n, open);
  vec3 shown = mix(c * 12.92, 1.055 * pow(max(c, 0.0031308), vec3(1.0 / 2.4)) - 0.055, step(0.0031308, c));
  outColour = vec4(inked ? onPaper(shown * (1.0 - 0.5 * slant)) : shown, 1.0);
}`;

const DEPTH_FRAGMENT = `#version 300 es
precision highp float;
out vec4 outColour;
void main() {
  float d = clamp(gl_FragCoord.z, 0.0, 0.999999);
  vec3 bytes = fract(d * vec3(1.0, 255.0, 65025.0));
  outColour = vec4(bytes - bytes.yzz * vec3(1.0 / 255.0, 1.0 / 255.0, 0.0), 1.0);
}`;

/** Size of the picture of depths. */
const DEPTHS: readonly [number, number] = [320, 256];
/** A detail may lie this far behind what is seen, as a share of the object's size. */
const BEHIND = 0.012;

export class Painter {
  readonly canvas: HTMLCanvasElement;
  private readonly renderer: Renderer;
  private readonly scene = new Transform();
  private readonly camera: Camera;
  private readonly program: Program;
  private readonly depthProgram: Program;
  private readonly depths: RenderTarget;
  private readonly bytes = new Uint8Array(DEPTHS[0] * DEPTHS[1] * 4);
  private readonly sheets: Sheets;
  private meshes: Mesh[] = [];
  /** How far each part rises when the parts are lifted apart, millimetres. */
  private rises: number[] = [];
  private lamp: Lamp | null = null;
  /** Whether the last look for what is in sight found nothing at all. */
  empty = false;
  /** Radius of a ball around everything, and its middle. */
  private readonly reach: number;
  private readonly middle: Vec;

  private constructor({ parts }: Drawn, steps: Vec) {
    this.canvas = document.createElement("canvas");
    const settings = { alpha: true, antialias: true };
    // Asked for here, since the library writes to the console where there is none.
    const own = this.canvas.getContext("webgl2", settings) as WebGL2RenderingContext | null;
    if (!own || own.isContextLost()) throw new Error("no drawing can be had now");
    this.renderer = new Renderer({ canvas: this.canvas, ...settings, dpr: Math.min(2, devicePixelRatio), webgl: 2 });
    // The sheet decides the size, not the library.
    this.canvas.removeAttribute("style");
    const gl = this.renderer.gl;
    this.camera = new Camera(gl);
    const boxes = parts.map(box);
    const { low, high } = around(boxes, boxes.map(() => 0), 0);
    this.middle = [0, 1, 2].map((k) => (low[k]! + high[k]!) / 2) as unknown as Vec;
    this.reach = Math.hypot(...[0, 1, 2].map((k) => high[k]! - low[k]!)) / 2;
    this.sheets = new Sheets(gl);
    const uniforms = {
      ...this.sheets.uniforms,
      lamp: { value: [0, 0, 1] }, raked: { value: false },
      right: { value: [1, 0, 0] }, up: { value: [0, 1, 0] }, eye: { value: [0, 0, 1] },
      steps: { value: steps }, pitch: { value: PITCH * this.renderer.dpr },
      floorY: { value: low[1] }, tall: { value: high[1] - low[1] },
    };
    this.program = new Program(gl, { vertex: VERTEX, fragment: FRAGMENT, uniforms, cullFace: false as never });
    this.depthProgram = new Program(gl, { vertex: VERTEX, fragment: DEPTH_FRAGMENT, uniforms: {}, cullFace: false as never });
    this.depths = new RenderTarget(gl, { width: DEPTHS[0], height: DEPTHS[1], minFilter: gl.NEAREST, magFilter: gl.NEAREST });
    gl.clearColor(0, 0, 0, 0);
  }

  /** A drawing of a body. Getting it, and giving it the body, are steps of their own: on a slow phone a touch
   * would have to wait for both. */
  static async of(drawn: Drawn, steps: Vec): Promise<Painter> {
    await breath();
    const painter = new Painter(drawn, steps);
    await breath();
    painter.replace(drawn);
    await breath();
    if (painter.renderer.gl.isContextLost()) throw new Error("the drawing was taken away at once");
    return painter;
  }

  /** Puts another level of the same body in place. */
  replace({ parts, pictures }: Drawn): void {
    const gl = this.renderer.gl;
    this.sheets.replace(pictures);
    for (const mesh of this.meshes) {
      mesh.setParent(null);
      mesh.geometry.remove();
    }
    this.rises = lifts(parts.map(box));
    this.meshes = parts.map((part) => {
      const geometry = new Geometry(gl, {
        position: { size: 3, data: part.position },
        normal: { size: 3, data: part.normal },
        colour: { size: 3, data: part.colour },
        tangent: { size: 4, data: part.tangent },
        place: { size: 2, data: part.place },
        index: { data: part.index },
      });
      const mesh = new Mesh(gl, { geometry, program: this.program, frustumCulled: false });
      mesh.setParent(this.scene);
      return mesh;
    });
  }

  /** Lays codes of measured differences over the model, or takes them away. */
  ink(codes: ImageBitmap | null): void {
    this.sheets.ink(codes);
  }

  /** Lights a lamp in place of the studio's light, or puts that back. */
  light(lamp: Lamp | null): void {
    this.lamp = lamp;
  }

  paint(view: View, width: number, height: number): void {
    const dpr = this.renderer.dpr;
    if (this.canvas.width !== Math.round(width * dpr) || this.canvas.height !== Math.round(height * dpr)) {
      this.canvas.width = Math.round(width * dpr);
      this.canvas.height = Math.round(height * dpr);
      this.renderer.width = width;
      this.renderer.height = height;
      this.renderer.setViewport(this.canvas.width, this.canvas.height);
    }
    const directions = axes(view);
    const uniforms = this.program.uniforms as Record<string, { value: unknown }>;
    uniforms["right"]!.value = directions.right;
    uniforms["up"]!.value = directions.up;
    uniforms["eye"]!.value = directions.eye;
    uniforms["raked"]!.value = this.lamp !== null;
    if (this.lamp) uniforms["lamp"]!.value = toward(directions, this.lamp);
    this.look(view, width / height);
    this.use(this.program);
    this.renderer.render({ scene: this.scene, camera: this.camera, sort: false });
  }

  private look(view: View, aspect: number): void {
    const far = this.reach * 8;
    const half = view.halfHeight;
    this.camera.orthographic({ left: -half * aspect, right: half * aspect, top: half, bottom: -half, near: 0.1, far });
    const { eye } = axes(view);
    const [x, y, z] = view.centre;
    const away = this.reach * 4;
    this.camera.position.set(x + eye[0] * away, y + eye[1] * away, z + eye[2] * away);
    this.camera.lookAt([x, y, z]);
    this.meshes.forEach((mesh, i) => (mesh.position.y = (this.rises[i] ?? 0) * view.lift));
  }

  private use(program: Program): void {
    for (const mesh of this.meshes) mesh.program = program;
  }

  /** Which points are in sight: facing the eye where they have a side, within the sheet, nothing before
   * them. */
  inSight(view: View, aspect: number, points: readonly { anchor: Vec; normal: Vec | null }[]): boolean[] {
    const gl = this.renderer.gl;
    this.look(view, aspect);
    this.use(this.depthProgram);
    this.renderer.render({ scene: this.scene, camera: this.camera, target: this.depths, sort: false });
    gl.readPixels(0, 0, DEPTHS[0], DEPTHS[1], gl.RGBA, gl.UNSIGNED_BYTE, this.bytes);
    this.empty = !this.bytes.some((value, i) => i % 4 === 3 && value === 255);
    const { eye } = axes(view);
    const far = this.reach * 8;
    return points.map(({ anchor, normal }) => {
      if (normal && dot(normal, eye) < 0.12) return false;
      const [x, y] = project(view, anchor, DEPTHS[0], DEPTHS[1]);
      const [column, row] = [Math.floor(x), DEPTHS[1] - 1 - Math.floor(y)];
      if (column < 0 || row < 0 || column >= DEPTHS[0] || row >= DEPTHS[1]) return false;
      const distance = this.reach * 4 - dot(minus(anchor, view.centre), eye);
      return this.depthAt(column, row) * (far - 0.1) + 0.1 > distance - this.reach * 2 * BEHIND;
    });
  }

  /** Farthest depth around a place, so that a detail at an edge is not hidden by its own rim. */
  private depthAt(column: number, row: number): number {
    let most = 0;
    for (let dy = -1; dy <= 1; dy++) {
      for (let dx = -1; dx <= 1; dx++) {
        const at = ((row + dy) * DEPTHS[0] + column + dx) * 4;
        const [r, g, b, a] = [this.bytes[at], this.bytes[at + 1], this.bytes[at + 2], this.bytes[at + 3]];
        if (r === undefined || g === undefined || b === undefined || a !== 255) continue;
        most = Math.max(most, r / 255 + g / 65025 + b / 16581375);
      }
    }
    return most || 1;
  }
}
