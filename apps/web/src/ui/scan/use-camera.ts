import { useEffect, useRef, useState } from 'react';
import { loadReader, readCode } from './qr-reader.ts';

export type CameraState = 'looking' | 'not-secure' | 'no-camera' | 'no-reader';

const WIDEST = 1280;
/** Between two looks, so that a telephone stays cool. */
const PAUSE_MS = 120;

/** Shows the camera that looks away from the person in a video element and says the code that it sees, until the element goes. */
export function useCamera(onText: (text: string) => void) {
  const video = useRef<HTMLVideoElement>(null);
  const told = useRef(onText);
  const [state, setState] = useState<CameraState>('looking');
  useEffect(() => {
    told.current = onText;
  });
  useEffect(() => {
    let isOver = false;
    let stream: MediaStream | undefined;
    const stop = () => stream?.getTracks().forEach((track) => track.stop());
    const look = async () => {
      const canvas = document.createElement('canvas');
      const context = canvas.getContext('2d', { willReadFrequently: true });
      while (!isOver && context) {
        const { current } = video;
        if (current && current.videoWidth > 0) {
          const scale = Math.min(1, WIDEST / current.videoWidth);
          canvas.width = Math.round(current.videoWidth * scale);
          canvas.height = Math.round(current.videoHeight * scale);
          context.drawImage(current, 0, 0, canvas.width, canvas.height);
          const text = await readCode(context.getImageData(0, 0, canvas.width, canvas.height));
          if (text !== undefined && !isOver) told.current(text);
        }
        await new Promise((resolve) => setTimeout(resolve, PAUSE_MS));
      }
    };
    const begin = async () => {
      // Browsers have a camera for secure contexts alone: https, or the device itself (W3C Media Capture and Streams).
      if (!isSecureContext) return setState('not-secure');
      const devices = navigator.mediaDevices as MediaDevices | undefined;
      stream = await devices
        ?.getUserMedia({ video: { facingMode: 'environment', width: { ideal: WIDEST } } })
        .catch(() => undefined);
      if (isOver) return stop();
      if (!stream || !video.current) return setState('no-camera');
      video.current.srcObject = stream;
      await video.current.play().catch(() => undefined);
      await loadReader()
        .then(look)
        .catch(() => {
          stop();
          setState('no-reader');
        });
    };
    void begin();
    return () => {
      isOver = true;
      stop();
    };
  }, []);
  return { video, state };
}
