#include "viewer/window/memory.h"

#include <QDir>
#include <QFile>
#include <QJsonArray>
#include <QJsonDocument>
#include <QJsonObject>
#include <QSaveFile>
#include <QStandardPaths>
#include <algorithm>

namespace leeward::window {
namespace {

QString memoryFile() { return QStandardPaths::writableLocation(QStandardPaths::ConfigLocation) + QStringLiteral("/leeward/window.json"); }

}  // namespace

Memory remember() {
  Memory memory;
  QFile file(memoryFile());
  if (!file.open(QIODevice::ReadOnly)) return memory;
  const QJsonObject kept = QJsonDocument::fromJson(file.readAll()).object();
  memory.folder = kept["study"].toString().toStdString();
  memory.question = kept["question"].toString(memory.question);
  memory.block_id = kept["block"].toString().toStdString();
  const QJsonArray centre = kept["centre"].toArray();
  if (centre.size() == 2) memory.centre = Point{centre[0].toDouble(), centre[1].toDouble()};
  memory.metres_per_pixel = kept["metres_per_pixel"].toDouble();
  memory.look.shade = static_cast<draw::Shade>(std::clamp(kept["shade"].toInt(), 0, 2));
  memory.look.text_percent = std::clamp(kept["text_percent"].toInt(100), 100, 200);
  return memory;
}

void keep(const Memory& memory) {
  QJsonObject kept{{"study", QString::fromStdString(memory.folder.string())},
                   {"question", memory.question},
                   {"block", QString::fromStdString(memory.block_id)},
                   {"metres_per_pixel", memory.metres_per_pixel},
                   {"shade", static_cast<int>(memory.look.shade)},
                   {"text_percent", memory.look.text_percent}};
  if (memory.centre) kept["centre"] = QJsonArray{memory.centre->x, memory.centre->y};
  QDir().mkpath(QFileInfo(memoryFile()).path());
  QSaveFile file(memoryFile());
  if (!file.open(QIODevice::WriteOnly)) return;
  file.setPermissions(QFileDevice::ReadOwner | QFileDevice::WriteOwner);
  file.write(QJsonDocument(kept).toJson());
  file.commit();
}

}  // namespace leeward::window
