// What the page's own modules know of the vendored file, for the type checker only.
export const BufferAttribute: any;
export const BufferGeometry: any;
export const Color: any;
export const DirectionalLight: any;
export const HemisphereLight: any;
export const Mesh: any;
export const MeshLambertMaterial: any;
export const OrbitControls: any;
export const PerspectiveCamera: any;
export const Scene: any;
export const Vector3: any;
export const WebGLRenderer: any;
