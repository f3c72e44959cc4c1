// The hatches of the stills in the words of the graphics card: ink on paper, in the plane of the
// picture. Lines that rise to the right are gained, those that fall are lost.

export const HATCH = `
uniform sampler2D measured; uniform bool inked; uniform vec3 steps; uniform float pitch;
const vec3 OCHRE = vec3(0.541, 0.353, 0.0), BLUE = vec3(0.141, 0.282, 0.486), GREY = vec3(0.365, 0.325, 0.278);
const vec3 LIT = vec3(0.968, 0.945, 0.893), SHADED = vec3(0.460, 0.430, 0.390);
// The code at a place, from the four around; 0 is not captured, says so only where it is nearest, and
// has no part in a mean.
float code(vec2 place) {
  ivec2 most = textureSize(measured, 0) - 1;
  vec2 at = place * vec2(most + 1) - 0.5, part = fract(at);
  ivec2 low = ivec2(floor(at));
  float sum = 0.0, all = 0.0, near = -1.0, own = 0.0;
  for (int k = 0; k < 4; k++) {
    ivec2 step = ivec2(k & 1, k >> 1);
    float c = floor(texelFetch(measured, clamp(low + step, ivec2(0), most), 0).r * 255.0 + 0.5);
    vec2 w = mix(1.0 - part, part, vec2(step));
    float weight = w.x * w.y;
    if (weight > near) { near = weight; own = c; }
    if (c > 0.5) { sum += c * weight; all += weight; }
  }
  return own < 0.5 ? 0.0 : sum / all;
}
float share(float inside) { return clamp(inside + 0.5, 0.0, 1.0); }
vec3 ink(vec3 paper) {
  float c = code(vPlace), off = c - 128.0, over = abs(off);
  float border = (over - steps.x) / max(fwidth(off), 1e-4);
  vec2 at = gl_FragCoord.xy;
  if (c < 0.5) {
    float row = floor(at.y / pitch + 0.5);
    float x = at.x / pitch - 0.5 * mod(row, 2.0);
    float away = length(vec2(x - floor(x + 0.5), at.y / pitch - row)) * pitch;
    return mix(paper, GREY, share(max(pitch * 0.11, 0.7) - away));
  }
  if (over <= steps.x) return paper;
  bool more = off > 0.0, plain = over > steps.y, strong = over > steps.z;
  float apart = plain ? pitch * 0.5 : pitch;
  float across = (more ? at.x - at.y : at.x + at.y) * 0.70711 / apart;
  float away = abs(across - floor(across + 0.5)) * apart;
  float width = max(pitch * (strong ? 0.26 : plain ? 0.14 : 0.15), 1.0);
  vec3 wash = more
    ? (strong ? vec3(0.95, 0.77, 0.45) : plain ? vec3(0.97, 0.85, 0.60) : vec3(0.98, 0.91, 0.74))
    : (strong ? vec3(0.61, 0.75, 0.95) : plain ? vec3(0.74, 0.84, 0.98) : vec3(0.85, 0.91, 0.99));
  float cover = max(share(width * 0.5 - away), share(max(pitch * 0.12, 1.1) - border));
  return mix(paper * wash, more ? OCHRE : BLUE, cover);
}
vec3 onPaper(vec3 lit) { return ink(mix(SHADED, LIT, dot(lit, vec3(0.2126, 0.7152, 0.0722)))); }
`;

/** Distance between the lines of the first step, in pixels of the page. */
export const PITCH = 9;
