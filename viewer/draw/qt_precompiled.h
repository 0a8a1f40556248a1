#pragma once
// Headers that nearly every painting file reads; precompiled to keep the build short.
#include <QColor>
#include <QFont>
#include <QImage>
#include <QPainter>
#include <QPainterPath>
#include <QString>

#include <numbers>

#include "shared/base/precompiled.h"
