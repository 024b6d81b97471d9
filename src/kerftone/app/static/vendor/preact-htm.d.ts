// What the page's own modules know of the vendored file, for the type checker only.
export function h(...parts: any[]): any;
export function html(strings: TemplateStringsArray, ...values: any[]): any;
export function render(what: any, where: Element): void;
export const Fragment: any;
export function createContext(value: any): any;
export function useState<T>(first: T | (() => T)): [T, (next: T | ((before: T) => T)) => void];
export function useEffect(run: () => void | (() => void), by?: any[]): void;
export function useLayoutEffect(run: () => void | (() => void), by?: any[]): void;
export function useRef<T>(first: T): { current: T };
export function useMemo<T>(make: () => T, by?: any[]): T;
export function useCallback<T>(call: T, by?: any[]): T;
