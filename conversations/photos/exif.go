package photos

import (
	"bytes"
	"encoding/binary"
)

// JPEG markers, by ITU-T T.81 table B.1.
const (
	soi  = 0xd8
	eoi  = 0xd9
	sos  = 0xda
	app1 = 0xe1
	sof2 = 0xc2 // start of frame, progressive, Huffman
)

// segments calls each with the marker and the content of the segments of a
// JPEG file before its first scan, until it returns false.
func segments(data []byte, each func(marker byte, content []byte) bool) {
	for i := 2; i+4 <= len(data) && data[i] == 0xff; {
		marker := data[i+1]
		if marker == 0xff { // padding
			i++
			continue
		}
		if marker == sos || marker == eoi || marker == soi {
			return
		}
		size := int(binary.BigEndian.Uint16(data[i+2:]))
		if size < 2 || i+2+size > len(data) || !each(marker, data[i+4:i+2+size]) {
			return
		}
		i += 2 + size
	}
}

// progressive tells whether a JPEG is coded in many passes.
func progressive(data []byte) bool {
	found := false
	segments(data, func(marker byte, _ []byte) bool {
		found = marker == sof2
		return !found
	})
	return found
}

// orientation is how a picture is stored, 1 to 8 as in TIFF 6.0, section 8; 1,
// upright, where the file does not say or says nonsense. It is the only thing
// read of a file's metadata.
func orientation(f format, data []byte) int {
	return tiffOrientation(bytes.TrimPrefix(exif(f, data), []byte("Exif\x00\x00")))
}

// exif is the part of a file that holds its EXIF data, nil if there is none.
func exif(f format, data []byte) (found []byte) {
	switch f {
	case isJPEG:
		segments(data, func(marker byte, content []byte) bool {
			if marker == app1 && bytes.HasPrefix(content, []byte("Exif\x00\x00")) {
				found = content
			}
			return found == nil
		})
	case isPNG:
		found = chunk(data, 8, binary.BigEndian, "eXIf")
	case isWebP:
		found = chunk(data, 12, binary.LittleEndian, "EXIF")
	}
	return found
}

// chunk finds a chunk by name in a PNG file (size, name, content, checksum) or
// a RIFF file (name, size, content, padded to even), from an offset on.
func chunk(data []byte, at int, order binary.ByteOrder, name string) []byte {
	for at+8 <= len(data) {
		label, sized, tail := data[at:at+4], data[at+4:at+8], 0
		if order == binary.BigEndian {
			label, sized, tail = sized, label, 4
		}
		size := uint64(order.Uint32(sized))
		if size > uint64(len(data)-at-8) {
			return nil
		}
		if string(label) == name {
			return data[at+8 : at+8+int(size)]
		}
		at += 8 + int(size) + tail
		if order == binary.LittleEndian {
			at += int(size & 1)
		}
	}
	return nil
}

// tiffOrientation reads tag 274 of the first directory of a TIFF structure.
func tiffOrientation(tiff []byte) int {
	if len(tiff) < 8 {
		return 1
	}
	var order binary.ByteOrder
	switch string(tiff[:4]) {
	case "II*\x00":
		order = binary.LittleEndian
	case "MM\x00*":
		order = binary.BigEndian
	default:
		return 1
	}
	at := uint64(order.Uint32(tiff[4:]))
	if at+2 > uint64(len(tiff)) {
		return 1
	}
	entries := tiff[at+2:]
	for n := order.Uint16(tiff[at:]); n > 0 && len(entries) >= 12; n, entries = n-1, entries[12:] {
		const tagOrientation, typeShort = 274, 3
		if order.Uint16(entries) != tagOrientation {
			continue
		}
		v := int(order.Uint16(entries[8:]))
		if order.Uint16(entries[2:]) != typeShort || v < 1 || v > 8 {
			return 1
		}
		return v
	}
	return 1
}
