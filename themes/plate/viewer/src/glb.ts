// A GLB file → parts ready to draw, in millimetres, and the pictures that lie over them. Reads what
// the site writes: one mesh a node, quantised or floating-point attributes, packed or plain buffers,
// one material. Anything else is refused.

export interface Part {
  readonly name: string;
  readonly position: Float32Array;
  readonly normal: Float32Array;
  readonly colour: Float32Array;
  readonly index: Uint32Array;
  /** Where the sheet runs to the right, and its handedness; noughts without a sheet. */
  readonly tangent: Float32Array;
  /** Place on the sheet, (0, 0) its top left corner; noughts without a sheet. */
  readonly place: Float32Array;
}

/** Files of the pictures on the sheet. */
export interface Pictures {
  readonly slopes: Blob;
  readonly shade: Blob;
  readonly colour: Blob | null;
}

export interface Model {
  readonly parts: readonly Part[];
  readonly pictures: Pictures | null;
}

export interface Decoder {
  decodeGltfBuffer(target: Uint8Array, count: number, size: number, source: Uint8Array, mode: string): void;
}

interface Accessor {
  bufferView?: number;
  byteOffset?: number;
  componentType: number;
  count: number;
  type: string;
  normalized?: boolean;
}

interface Packed {
  buffer: number;
  byteOffset?: number;
  byteLength: number;
  byteStride: number;
  count: number;
  mode: string;
}

interface View {
  buffer: number;
  byteOffset?: number;
  byteLength: number;
  byteStride?: number;
  extensions?: { EXT_meshopt_compression?: Packed };
}

interface Primitive {
  attributes: Record<string, number>;
  indices?: number;
}

interface TextureAt {
  index: number;
}

interface Material {
  normalTexture?: TextureAt;
  occlusionTexture?: TextureAt;
  pbrMetallicRoughness?: { baseColorTexture?: TextureAt };
}

interface Document {
  materials?: Material[];
  textures?: { source?: number }[];
  images?: { bufferView?: number; mimeType?: string }[];
  nodes?: { name?: string; mesh?: number; translation?: number[]; scale?: number[] }[];
  meshes?: { primitives: Primitive[] }[];
  accessors?: Accessor[];
  bufferViews?: View[];
}

const MAGIC = 0x46546c67;
const JSON_CHUNK = 0x4e4f534a;
const WIDTH: Record<string, number> = { SCALAR: 1, VEC2: 2, VEC3: 3, VEC4: 4 };
const BYTES: Record<number, number> = { 5120: 1, 5121: 1, 5122: 2, 5123: 2, 5125: 4, 5126: 4 };
const MOST: Record<number, number> = { 5120: 127, 5121: 255, 5122: 32767, 5123: 65535 };
const MILLIMETRES = 1000;

function chunks(file: ArrayBuffer): { document: Document; binary: Uint8Array } {
  const data = new DataView(file);
  if (file.byteLength < 20 || data.getUint32(0, true) !== MAGIC || data.getUint32(16, true) !== JSON_CHUNK) {
    throw new Error("not a GLB file");
  }
  const length = data.getUint32(12, true);
  const binaryAt = 20 + length;
  if (binaryAt + 8 > file.byteLength) throw new Error("a cut GLB file");
  const document: Document = JSON.parse(new TextDecoder().decode(new Uint8Array(file, 20, length)));
  const binaryLength = data.getUint32(binaryAt, true);
  if (binaryAt + 8 + binaryLength > file.byteLength) throw new Error("a cut GLB file");
  return { document, binary: new Uint8Array(file, binaryAt + 8, binaryLength) };
}

export function model(file: ArrayBuffer, decoder: Decoder): Model {
  const { document, binary } = chunks(file);
  const reader = new Reader(document, binary, decoder);
  return { parts: parts(document, reader), pictures: reader.pictures() };
}

function parts(document: Document, reader: Reader): Part[] {
  return (document.nodes ?? []).flatMap((node) => {
    const mesh = node.mesh === undefined ? undefined : document.meshes?.[node.mesh];
    if (!mesh) return [];
    const scale = (node.scale?.[0] ?? 1) * MILLIMETRES;
    const origin = (node.translation ?? [0, 0, 0]).map((v) => v * MILLIMETRES);
    return mesh.primitives.map((primitive) => reader.part(node.name ?? "", primitive, scale, origin));
  });
}

class Reader {
  private readonly views = new Map<number, Uint8Array>();

  constructor(
    private readonly document: Document,
    private readonly binary: Uint8Array,
    private readonly decoder: Decoder,
  ) {}

  part(name: string, primitive: Primitive, scale: number, origin: number[]): Part {
    const position = this.floats(primitive.attributes["POSITION"], 3);
    for (let i = 0; i < position.length; i++) position[i] = position[i]! * scale + origin[i % 3]!;
    const count = position.length / 3;
    const colours = primitive.attributes["COLOR_0"];
    const index = this.indices(primitive.indices, count);
    const normals = primitive.attributes["NORMAL"];
    return {
      name,
      position,
      index,
      normal: normals === undefined ? smooth(position, index) : this.floats(normals, 3),
      colour: colours === undefined ? new Float32Array(count * 3).fill(0.45) : this.floats(colours, 3),
      tangent: this.given(primitive.attributes["TANGENT"], 4, count),
      place: this.given(primitive.attributes["TEXCOORD_0"], 2, count),
    };
  }

  private given(number: number | undefined, width: number, count: number): Float32Array {
    return number === undefined ? new Float32Array(count * width) : this.floats(number, width);
  }

  /** The pictures of the one material; `null` where it has none. */
  pictures(): Pictures | null {
    const material = this.document.materials?.[0];
    const [slopes, shade] = [this.picture(material?.normalTexture), this.picture(material?.occlusionTexture)];
    const colour = this.picture(material?.pbrMetallicRoughness?.baseColorTexture);
    return slopes && shade ? { slopes, shade, colour } : null;
  }

  private picture(at: TextureAt | undefined): Blob | null {
    const source = at && this.document.textures?.[at.index]?.source;
    const image = source === undefined ? undefined : this.document.images?.[source];
    if (!image) return null;
    return new Blob([this.bytes(image.bufferView).bytes as Uint8Array<ArrayBuffer>], { type: image.mimeType ?? "" });
  }

  private accessor(number: number | undefined): Accessor {
    const found = number === undefined ? undefined : this.document.accessors?.[number];
    if (!found) throw new Error("an accessor is missing");
    return found;
  }

  private bytes(number: number | undefined): { bytes: Uint8Array; stride: number } {
    const view = number === undefined ? undefined : this.document.bufferViews?.[number];
    if (number === undefined || !view) throw new Error("a buffer view is missing");
    const packed = view.extensions?.EXT_meshopt_compression;
    const stride = packed?.byteStride ?? view.byteStride ?? 0;
    const known = this.views.get(number);
    if (known) return { bytes: known, stride };
    const source = packed ?? view;
    const start = source.byteOffset ?? 0;
    if (start + source.byteLength > this.binary.length) throw new Error("a buffer view lies outside its buffer");
    let bytes = this.binary.subarray(start, start + source.byteLength);
    if (packed) {
      const unpacked = new Uint8Array(packed.count * packed.byteStride);
      this.decoder.decodeGltfBuffer(unpacked, packed.count, packed.byteStride, bytes, packed.mode);
      bytes = unpacked;
    }
    this.views.set(number, bytes);
    return { bytes, stride };
  }

  /** Calls `take` with every number of an accessor, the first `wanted` of each element. */
  private each(number: number | undefined, wanted: number, take: (value: number, at: number) => void): number {
    const accessor = this.accessor(number);
    const size = BYTES[accessor.componentType];
    const width = WIDTH[accessor.type];
    if (!size || !width || width < wanted) throw new Error("an accessor is of an unknown form");
    const { bytes, stride } = this.bytes(accessor.bufferView);
    const step = stride || size * width;
    const start = accessor.byteOffset ?? 0;
    const end = accessor.count ? start + (accessor.count - 1) * step + size * wanted : 0;
    if (end > bytes.length) throw new Error("an accessor reaches beyond its buffer");
    const data = new DataView(bytes.buffer, bytes.byteOffset, bytes.byteLength);
    const most = accessor.normalized ? MOST[accessor.componentType] ?? 1 : 1;
    for (let i = 0; i < accessor.count; i++) {
      for (let k = 0; k < wanted; k++) {
        take(component(data, start + i * step + k * size, accessor.componentType) / most, i * wanted + k);
      }
    }
    return accessor.count;
  }

  private floats(number: number | undefined, wanted: number): Float32Array {
    const out = new Float32Array(this.accessor(number).count * wanted);
    this.each(number, wanted, (value, at) => (out[at] = value));
    return out;
  }

  private indices(number: number | undefined, vertices: number): Uint32Array {
    if (number === undefined) return Uint32Array.from({ length: vertices }, (_, i) => i);
    const out = new Uint32Array(this.accessor(number).count);
    this.each(number, 1, (value, at) => {
      if (value >= vertices) throw new Error("a triangle names a vertex that does not exist");
      out[at] = value;
    });
    return out;
  }
}

function component(data: DataView, at: number, type: number): number {
  switch (type) {
    case 5120: return data.getInt8(at);
    case 5121: return data.getUint8(at);
    case 5122: return data.getInt16(at, true);
    case 5123: return data.getUint16(at, true);
    case 5125: return data.getUint32(at, true);
    default: return data.getFloat32(at, true);
  }
}

/** Mean of the adjacent triangles' normals, by area. */
function smooth(position: Float32Array, index: Uint32Array): Float32Array {
  const out = new Float32Array(position.length);
  for (let t = 0; t + 2 < index.length; t += 3) {
    const corner = [0, 1, 2].map((k) => index[t + k]! * 3);
    const edge = (k: number, axis: number) => position[corner[k]! + axis]! - position[corner[0]! + axis]!;
    for (let axis = 0; axis < 3; axis++) {
      const [u, v] = [(axis + 1) % 3, (axis + 2) % 3];
      const n = edge(1, u) * edge(2, v) - edge(1, v) * edge(2, u);
      for (const c of corner) out[c + axis]! += n;
    }
  }
  return out;
}
