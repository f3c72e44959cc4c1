/** The worker's script as text; `build.mjs` puts it there. */
declare module "unpack:text" {
  const source: string;
  export default source;
}
