// The pictures that lie over a model: the scan's slopes, shade and colours.

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

  constructor(private readonly gl: OGLRenderingContext) {
    const none = new Texture(gl);
    this.uniforms = {
      slopes: { value: none }, shade: { value: none }, paint: { value: none },
      drawn: { value: false }, painted: { value: false },
    };
  }

  replace(pictures: Drawn["pictures"]): void {
    for (const { texture } of this.textures) this.gl.deleteTexture(texture);
    this.textures = [];
    const { slopes, shade, paint, drawn, painted } = this.uniforms;
    drawn.value = pictures !== null;
    painted.value = pictures?.colour != null;
    if (pictures?.slopes) slopes.value = this.texture(pictures.slopes, false);
    if (pictures?.shade) shade.value = this.texture(pictures.shade, false);
    if (pictures?.colour) paint.value = this.texture(pictures.colour, true);
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
