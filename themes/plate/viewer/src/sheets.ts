// The pictures that lie over a model: the scan's slopes, shade and colours, and what was measured.

import { Texture, type OGLRenderingContext } from "ogl";
import type { Model, Part, Pictures } from "./glb";

type Name = keyof Pictures;

/** A model whose pictures are ready to be drawn. */
export interface Drawn {
  readonly parts: readonly Part[];
  readonly pictures: Readonly<Record<Name, ImageBitmap | null>> | null;
}

/** Unpacks the pictures. Their numbers are kept as they are: slopes are not colours. */
export async function unfold({ parts, pictures }: Model): Promise<Drawn> {
  if (!pictures) return { parts, pictures: null };
  const [slopes, shade, colour] = await Promise.all(
    [pictures.slopes, pictures.shade, pictures.colour].map((file) =>
      file ? createImageBitmap(file, { colorSpaceConversion: "none", premultiplyAlpha: "none" }) : null,
    ),
  );
  return { parts, pictures: { slopes: slopes ?? null, shade: shade ?? null, colour: colour ?? null } };
}

/** The pictures on the graphics card, as the painter's program asks for them. */
export class Sheets {
  readonly uniforms;
  private textures: Texture[] = [];
  private codes: Texture | null = null;
  private readonly none: Texture;

  constructor(private readonly gl: OGLRenderingContext) {
    const none = (this.none = new Texture(gl));
    this.uniforms = {
      slopes: { value: none }, shade: { value: none }, paint: { value: none },
      drawn: { value: false }, painted: { value: false },
      measured: { value: none }, inked: { value: false },
    };
  }

  replace(pictures: Drawn["pictures"]): void {
    this.ink(null);
    for (const { texture } of this.textures) this.gl.deleteTexture(texture);
    this.textures = [];
    const { slopes, shade, paint, drawn, painted } = this.uniforms;
    drawn.value = pictures !== null;
    painted.value = pictures?.colour != null;
    if (pictures?.slopes) slopes.value = this.texture(pictures.slopes, false);
    if (pictures?.shade) shade.value = this.texture(pictures.shade, false);
    if (pictures?.colour) paint.value = this.texture(pictures.colour, true);
  }

  /** Codes of measured differences, read one by one: no smaller copies, nothing in between. */
  ink(codes: ImageBitmap | null): void {
    const { measured, inked } = this.uniforms;
    if (this.codes) this.gl.deleteTexture(this.codes.texture);
    this.codes = codes && new Texture(this.gl, {
      image: codes as unknown as HTMLImageElement,
      generateMipmaps: false,
      minFilter: this.gl.NEAREST,
      magFilter: this.gl.NEAREST,
      flipY: false,
      premultiplyAlpha: false,
    });
    measured.value = this.codes ?? this.none;
    inked.value = codes !== null;
  }

  private texture(image: ImageBitmap, colour: boolean): Texture {
    const { gl } = this;
    // The library's types know pictures only as elements of the page.
    const made = new Texture(gl, {
      image: image as unknown as HTMLImageElement,
      internalFormat: colour ? (gl as unknown as WebGL2RenderingContext).SRGB8_ALPHA8 : gl.RGBA,
      minFilter: gl.LINEAR_MIPMAP_LINEAR,
      flipY: false,
      premultiplyAlpha: false,
      anisotropy: 8,
    });
    this.textures.push(made);
    return made;
  }
}
