#include "render/canvas/image.hpp"

#include "sweepflux/base/error.hpp"

#include <png.h>

#include <array>
#include <cmath>
#include <string_view>
#include <utility>

namespace sweepflux::render {
namespace {

constexpr double inches_per_metre = 1.0 / 0.0254;

// libpng is C: an error handler may throw through it only because its frames own nothing that the
// destructor below does not free.
void fail_writing(png_structp, png_const_charp words) {
  throw SystemError(std::string("PNG could not be written: ") + words);
}
void ignore_warning(png_structp, png_const_charp) {}

struct PngWriter {
  png_structp png =
      png_create_write_struct(PNG_LIBPNG_VER_STRING, nullptr, fail_writing, ignore_warning);
  png_infop info = png != nullptr ? png_create_info_struct(png) : nullptr;
  PngWriter() = default;
  PngWriter(const PngWriter&) = delete;
  PngWriter& operator=(const PngWriter&) = delete;
  ~PngWriter() { png_destroy_write_struct(&png, &info); }
};

void append(png_structp png, png_bytep data, png_size_t size) {
  auto* bytes = static_cast<std::vector<std::uint8_t>*>(png_get_io_ptr(png));
  bytes->insert(bytes->end(), data, data + size);
}
void no_flush(png_structp) {}

void set_texts(const PngWriter& writer, const PngNotes& notes) {
  // Keywords of the standard, 11.3.4.2. International text (iTXt), because titles are UTF-8.
  std::array<std::pair<std::string, std::string>, 3> words{
      {{"Title", notes.title}, {"Description", notes.description}, {"Software", "sweepflux"}}};
  std::string none;
  std::vector<png_text> texts;
  for (auto& [key, text] : words) {
    const bool signs = key == "Software";  // what has another text
    if (signs ? !texts.empty() : !text.empty()) {
      png_text& entry = texts.emplace_back();
      entry.compression = PNG_ITXT_COMPRESSION_NONE;
      entry.key = key.data();
      entry.text = text.data();
      entry.itxt_length = text.size();
      entry.lang = none.data();
      entry.lang_key = none.data();
    }
  }
  if (!texts.empty()) {
    png_set_text(writer.png, writer.info, texts.data(), static_cast<int>(texts.size()));
  }
}

std::vector<std::uint8_t> pack_rows(const Image& image, std::size_t channels) {
  std::vector<std::uint8_t> packed(image.width * image.height * channels);
  std::size_t to = 0;
  for (std::size_t i = 0; i < image.rgba.size(); i += 4) {
    for (std::size_t c = 0; c < channels; ++c) {
      packed[to++] = image.rgba[i + c];
    }
  }
  return packed;
}

}  // namespace

std::string png_base64(const Image& image) {
  const std::vector<std::uint8_t> bytes = encode_png(image);
  constexpr std::string_view letters =
      "ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789+/";
  std::string text;
  text.reserve((bytes.size() + 2) / 3 * 4);
  for (std::size_t i = 0; i < bytes.size(); i += 3) {
    std::uint32_t group = 0;
    for (std::size_t k = 0; k < 3; ++k) {
      group = group << 8U | (i + k < bytes.size() ? bytes[i + k] : 0U);
    }
    for (std::size_t k = 0; k < 4; ++k) {
      const bool padding = i + k > bytes.size();
      text += padding ? '=' : letters[group >> (18U - 6U * k) & 63U];
    }
  }
  return text;
}

std::vector<std::uint8_t> encode_png(const Image& image, const PngNotes& notes) {
  if (image.width == 0 || image.height == 0 ||
      image.rgba.size() != 4 * image.width * image.height) {
    throw InputError("an image of " + std::to_string(image.width) + " x " +
                     std::to_string(image.height) + " pixels cannot have " +
                     std::to_string(image.rgba.size()) + " bytes");
  }
  bool plain = true;  // opaque
  for (std::size_t i = 3; i < image.rgba.size(); i += 4) {
    plain = plain && image.rgba[i] == 255;
  }
  const std::size_t channels = plain ? 3 : 4;
  std::vector<std::uint8_t> packed = pack_rows(image, channels);
  std::vector<std::uint8_t> bytes;
  const PngWriter writer;
  if (writer.info == nullptr) {
    throw SystemError("PNG could not be written: no memory");
  }
  png_set_write_fn(writer.png, &bytes, append, no_flush);
  png_set_IHDR(writer.png,
               writer.info,
               static_cast<png_uint_32>(image.width),
               static_cast<png_uint_32>(image.height),
               8,
               plain ? PNG_COLOR_TYPE_RGB : PNG_COLOR_TYPE_RGBA,
               PNG_INTERLACE_NONE,
               PNG_COMPRESSION_TYPE_DEFAULT,
               PNG_FILTER_TYPE_DEFAULT);
  png_set_sRGB(writer.png, writer.info, PNG_sRGB_INTENT_PERCEPTUAL);
  if (notes.dots_per_inch > 0.0) {
    const auto density =
        static_cast<png_uint_32>(std::lround(notes.dots_per_inch * inches_per_metre));
    png_set_pHYs(writer.png, writer.info, density, density, PNG_RESOLUTION_METER);
  }
  set_texts(writer, notes);
  // Our maps pack smaller and faster with no filter than with those that subtract the row above or
  // the pixel before; level 1 for speed.
  png_set_filter(writer.png, 0, PNG_FILTER_NONE);
  png_set_compression_level(writer.png, 1);
  png_write_info(writer.png, writer.info);
  for (std::size_t row = 0; row < image.height; ++row) {
    png_write_row(writer.png, packed.data() + row * image.width * channels);
  }
  png_write_end(writer.png, nullptr);
  return bytes;
}

}  // namespace sweepflux::render
